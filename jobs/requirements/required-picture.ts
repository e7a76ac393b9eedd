import { z } from 'zod';
import { field } from '../documents/field.js';
import { pictureArea } from '../measurement/measured-temporal.js';
import { count, fraction, placedRequirement, positiveInt, requirement } from './requirement-form.js';

/** Requirements on the picture over time, and on its place in the raster. */
export const requiredPicture = {
  'black-frames': placedRequirement('No runs of black frames.', {
    maxFrames: field('Longest run allowed, in frames.', count.default(0)),
    allowAtEnds: field('Whether black of any length is allowed at head and tail.', z.boolean().default(true)),
  }),
  'freeze-frames': placedRequirement('No still picture of this length or longer.', {
    seconds: field(
      'Shortest still that fails, in seconds; it is at least 13 frames long.',
      z.number().positive().default(2),
    ),
  }),
  'duplicate-frames': placedRequirement('No frames are repeated or lost in motion.', {
    maxFrames: field(
      'Most frames repeated or lost, over the whole programme or its regions.',
      count.default(0),
    ),
    regular: field(
      'Whether regular repeats are allowed, as after a rate conversion.',
      z.boolean().default(false),
    ),
  }),
  'short-shots': placedRequirement('No shot is shorter than this: flash frames.', {
    minFrames: field('Shortest shot allowed, in frames, at most 12.', positiveInt.default(3)),
  }),
  'constant-colour': placedRequirement('No runs of frames of one colour other than black.', {
    maxFrames: field('Longest run allowed, in frames.', count.default(0)),
    tolerance: field(
      'How far apart the levels of one colour may lie, as a fraction of the range of SDR (of camera log, linear light, ' +
        'PQ and HLG as that of the same light in SDR), at most 0.105.',
      fraction.default(0.03),
    ),
  }),
  'active-picture': requirement(
    'The picture inside its bars has this shape or area; the whole raster where neither ' + 'is given.',
    {
      aspect: field(
        'Shape of the picture as shown, width to height, centred: 2.39.',
        z.number().positive().optional(),
      ),
      area: field(
        'Place of the picture in the raster; where it is given, `aspect` is not used.',
        pictureArea.optional(),
      ),
      tolerance: field(
        'Lines (or columns) by which an edge may differ.',
        z.number().nonnegative().default(2),
      ),
      constant: field('Whether this applies to every shot, not only to most.', z.boolean().default(true)),
    },
  ),
  'blank-edges': placedRequirement('No black lines at an edge of the picture, other than bars.', {
    maxLines: field('Most black lines (or columns) at an edge.', count.default(0)),
  }),
  flashes: requirement(
    'ITU-R BT.1702: no more than three flashes a second, of light or of saturated red, over more ' +
      'than a quarter of the screen. A screening and not a certified test: the approved test of the ' +
      'broadcaster and the local rules decide.',
    {},
  ),
};
