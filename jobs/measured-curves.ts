import { z } from 'zod';

const point = z.number().nullable();

/**
 * Figures over time, for plots: at most 2,000 points however long the programme. A point holds the extreme of its
 * frames (of an average: the mean), so that no single bad frame is lost between two points. Null: not measured there.
 */
export const pictureCurves = z.object({
  /** Frames that share a point; the last point may stand for fewer. Point i begins at frame i * framesPerPoint. */
  framesPerPoint: z.number().int().positive(),
  /** Percent of narrow range: lowest and highest of the frames. R'G'B' for RGB pictures. */
  levelMin: z.array(point),
  levelMax: z.array(point),
  /** EBU R 103: largest share of the picture outside the tolerance. */
  gamutArea: z.array(point),
  /** cd/m2 of max(R,G,B): highest, highest 99.99 percentile of a frame, mean of the frame averages. Null for SDR and logs. */
  light: z.object({ max: z.array(point), p9999: z.array(point), average: z.array(point) }).nullable(),
});
export type PictureCurves = z.infer<typeof pictureCurves>;

export const soundCurve = z.object({
  /** Index of the stream in the file, as in `audio`. */
  stream: z.number().int().nonnegative(),
  /** Point i stands for the window that ends at (i + 1) * secondsPerPoint. */
  secondsPerPoint: z.number().positive(),
  /** LUFS, the highest of the point's windows; null while no whole window has passed, or in silence. */
  momentary: z.array(point),
  shortTerm: z.array(point),
});
export type SoundCurve = z.infer<typeof soundCurve>;

export const curves = z.object({ picture: pictureCurves.nullable(), sound: z.array(soundCurve) });
export type Curves = z.infer<typeof curves>;

/** Most points of one curve. */
export const MOST_POINTS = 2000;
