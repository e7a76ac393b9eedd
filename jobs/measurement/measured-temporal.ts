import { z } from 'zod';
import { field } from '../documents/field.js';
import { frameRange } from './frame-range.js';

const count = z.number().int().nonnegative();
const fraction = z.number().min(0).max(1);

/** Places of one kind. */
function places<T extends z.ZodRawShape>(shape: T) {
  return {
    places: field('How many places there are.', count),
    frames: field('Frames in all of them.', count),
    ranges: field('The 500 longest of them, in order of time.', z.array(frameRange.extend(shape))),
  };
}

/** A rectangle of the raster. */
export const pictureArea = z.object({
  left: field('Columns to the left of it.', count),
  top: field('Lines above it.', count),
  width: field('Width in pixels.', z.number().int().positive()),
  height: field('Height in lines.', z.number().int().positive()),
});
export type PictureArea = z.infer<typeof pictureArea>;

/**
 * The picture over time. Levels and differences are fractions of the nominal range from black to white of Y'
 * (G' for RGB); in scene light, linear or camera log, `level` is the light of such a BT.709 signal, and in PQ
 * and HLG too for one colour. The
 * thresholds of the measurement are given with its figures: a requirement can only use limits within them.
 */
export const measuredTemporal = z.object({
  black: field(
    'Frames with at least `area` of the picture at or below black + `level`, neutral in colour, with ' +
      'nothing bright in it.',
    z.object({
      level: field(
        'How far above black still counts as black, as a fraction of the range; in scene light as that of BT.709.',
        fraction,
      ),
      area: field('Least area of a black frame, as a fraction of the picture.', fraction),
      ...places({}),
    }),
  ),
  constantColour: field(
    'Frames with one colour other than black over at least `area`, its levels no further apart than `level`.',
    z.object({
      level: field(
        'How far apart the levels of one colour may lie, as a fraction of the range of SDR; of camera log, linear light, PQ and HLG ' +
          'as that of the same light in SDR.',
        fraction,
      ),
      area: field('Least area of one colour, as a fraction of the picture.', fraction),
      ...places({
        spread: field(
          'How far apart the levels of the flattest frame lie, as a fraction of the range.',
          z.number().nonnegative(),
        ),
        widestSpread: field('The same of the least flat frame.', z.number().nonnegative()),
        colour: field(
          "Signals of the flattest frame: Y', Cb, Cr, or G', B', R', or grey.",
          z.array(z.number()),
        ),
      }),
    }),
  ),
  freeze: field(
    'Still picture: mean change below `db`, for at least `leastFrames`. Without black.',
    z.object({
      db: field('Largest mean change of a still, decibels of the range.', z.number()),
      leastFrames: field('Shortest still that is detected, in frames.', count),
      ...places({ identical: field("Whether no sample of Y' changes.", z.boolean()) }),
    }),
  ),
  duplicate: field(
    'Frames that repeat the previous one, with motion before and after; fewer in a row than a freeze.',
    z.object({
      ...places({}),
      regular: field(
        'Sections in which frames repeat regularly, as after a rate conversion. Not counted above.',
        z.object({
          frames: field('Frames that repeat in them.', count),
          ranges: field(
            'The sections, in order of time.',
            z.array(
              frameRange.extend({
                every: field('Frames from one repeat to the next.', z.number().positive()),
              }),
            ),
          ),
        }),
      ),
    }),
  ),
  missingMotion: field(
    'Frames before which the motion is twice the usual step: one frame was lost.',
    z.object(places({})),
  ),
  shortShot: field(
    'Shots of fewer than `below` frames.',
    z.object({
      below: field('Shots of this length or longer are not short, in frames.', count),
      ...places({}),
      cuts: field('Cuts found, including those of short shots.', count),
      unclear: field(
        'Where every frame differs from the previous one: shots of one frame, or motion too fast to tell.',
        z.object({
          places: field('How many places there are.', count),
          ranges: field('The longest of them, in order of time.', z.array(frameRange)),
        }),
      ),
    }),
  ),
  activePicture: field(
    'Where the picture is, inside letterbox and pillarbox bars.',
    z.object({
      leastBar: field('Lines (or columns) of the thinnest bar; thinner black edges are blank lines.', count),
      area: field(
        'The area in most of these frames; null where all frames are too dark.',
        pictureArea.nullable(),
      ),
      framesTold: field('Frames bright enough to show the edges of the picture.', count),
      others: field(
        'Where the area differs.',
        z.object(places({ area: field('Area of the picture there.', pictureArea) })),
      ),
    }),
  ),
  blankEdge: field(
    'Black lines at an edge that are no bar, or a black strip at one edge only, while the picture beside them is not black.',
    z.object(
      places({
        side: field('The edge they are at.', z.enum(['top', 'bottom', 'left', 'right'])),
        lines: field('How many lines (or columns) there are.', z.number().int().positive()),
      }),
    ),
  ),
});
export type MeasuredTemporal = z.infer<typeof measuredTemporal>;
