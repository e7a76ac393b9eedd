import { z } from 'zod';
import { field } from '../documents/field.js';
import { pictureArea } from '../measurement/measured-temporal.js';
import { count, fraction, placedRequirement, positiveInt, requirement } from './requirement-form.js';

/** What happens in the picture over time, and where in the raster it is. */
export const requiredPicture = {
  'black-frames': placedRequirement('No runs of black frames.', {
    maxFrames: field('Longest run allowed, in frames.', count.default(0)),
    allowAtEnds: field('Whether black of any length is allowed at head and tail.', z.boolean().default(true)),
  }),
  'freeze-frames': placedRequirement('No picture stands still for this long or longer.', {
    seconds: field(
      'Shortest still that fails, in seconds; it is at least 13 frames long.',
      z.number().positive().default(2),
    ),
  }),
  'duplicate-frames': placedRequirement('No frames are repeated or lost where the picture moves.', {
    maxFrames: field(
      'Most frames repeated or lost, over the whole programme or its regions.',
      count.default(0),
    ),
    regular: field(
      'Whether regular repeats are allowed, as a change of rate makes them.',
      z.boolean().default(false),
    ),
  }),
  'short-shots': placedRequirement('No shot is shorter than this: flash frames.', {
    minFrames: field('Shortest shot allowed, in frames, at most 12.', positiveInt.default(3)),
  }),
  'constant-colour': placedRequirement('No runs of frames of one colour other than black.', {
    maxFrames: field('Longest run allowed, in frames.', count.default(0)),
    tolerance: field(
      'How far apart the levels of one colour may lie, as a fraction of the range, at most 0.105.',
      fraction.default(0.03),
    ),
  }),
  'active-picture': requirement(
    'The picture lies here inside its bars; to the edges of the raster where neither shape nor area ' +
      'is given.',
    {
      aspect: field(
        'Shape of the picture as shown, width to height, centred: 2.39.',
        z.number().positive().optional(),
      ),
      area: field(
        'Place of the picture in the raster; where it is given, `aspect` is not used.',
        pictureArea.optional(),
      ),
      tolerance: field('Lines (or columns) an edge may be off.', z.number().nonnegative().default(2)),
      constant: field(
        'Whether it must lie there in every shot, not only in most.',
        z.boolean().default(true),
      ),
    },
  ),
  'blank-edges': placedRequirement('No black lines at an edge of the picture that are no bar.', {
    maxLines: field('Most black lines (or columns) at an edge.', count.default(0)),
  }),
  flashes: requirement(
    'ITU-R BT.1702: no more than three flashes a second, of light or of saturated red, over more ' +
      'than a quarter of the screen. A screening and not a certified test: the approved test of the ' +
      'broadcaster and the local rules decide.',
    {},
  ),
};
