import { z } from 'zod';
import { field } from './field.js';
import { frameRange } from './frame-range.js';

const count = z.number().int().nonnegative();
const fraction = z.number().min(0).max(1);

/** Places of one kind. `ranges` lists the 500 longest in order of time; `places` and `frames` count all of them. */
function places<T extends z.ZodRawShape>(shape: T) {
  return { places: count, frames: count, ranges: z.array(frameRange.extend(shape)) };
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
 * What the picture does over time. Levels and differences are fractions of the nominal range from black to white of Y' (of G'
 * for RGB). The thresholds of the measurement stand beside its figures: a requirement cannot ask for what they do not show.
 */
export const measuredTemporal = z.object({
  /** Frames with at least `area` of the picture at or below black + `level`, neutral in colour, and nothing bright in it. */
  black: z.object({ level: fraction, area: fraction, ...places({}) }),
  /** Frames of which `area` is one colour other than black, its levels no further apart than `level`. */
  constantColour: z.object({
    level: fraction,
    area: fraction,
    ...places({
      /** Of the flattest and of the least flat frame. */
      spread: z.number().nonnegative(),
      widestSpread: z.number().nonnegative(),
      /** Signals of the flattest frame: Y', Cb, Cr or G', B', R' or grey. */
      colour: z.array(z.number()),
    }),
  }),
  /** The picture stands still: mean change below `db` (decibels of the range), for at least `leastFrames`. Black left out. */
  freeze: z.object({
    db: z.number(),
    leastFrames: count,
    ...places({ /** Not one sample of Y' changes. */ identical: z.boolean() }),
  }),
  /** Frames that repeat the one before, with movement before and after; fewer in a row than make a freeze. */
  duplicate: z.object({
    ...places({}),
    /** Stretches in which frames repeat in step, as they do after a change of rate. Not among the above. */
    regular: z.object({
      frames: count,
      ranges: z.array(frameRange.extend({ every: z.number().positive() })),
    }),
  }),
  /** Frames before which the picture moves by two steps: one was lost. */
  missingMotion: z.object(places({})),
  /** Shots of fewer than `below` frames. */
  shortShot: z.object({
    below: count,
    ...places({}),
    /** Cuts found, the ones of short shots among them. */
    cuts: count,
    /** Frame after frame is unlike the one before: shots of one frame each, or movement too fast to tell. */
    unclear: z.object({ places: count, ranges: z.array(frameRange) }),
  }),
  /** Where the picture is, inside letterbox and pillarbox bars. */
  activePicture: z.object({
    /** Thinner black edges than this are blank lines, not bars. */
    leastBar: count,
    /** The area of most frames that show it; null where no frame does: all is too dark, or black. */
    area: pictureArea.nullable(),
    /** Frames that show where their picture ends. */
    framesTold: count,
    /** Where it is another one. */
    others: z.object(places({ area: pictureArea })),
  }),
  /** Black lines at an edge where no bar is, while the picture beside them is not black. */
  blankEdge: z.object(
    places({ side: z.enum(['top', 'bottom', 'left', 'right']), lines: z.number().int().positive() }),
  ),
});
export type MeasuredTemporal = z.infer<typeof measuredTemporal>;
