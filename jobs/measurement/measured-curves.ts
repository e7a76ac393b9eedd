import { z } from 'zod';
import { field } from '../documents/field.js';

const point = z.number().nullable();

/**
 * Figures over time, for plots: at most 2,000 points for any length of programme. A point is the extreme of
 * its frames (for an average: the mean), so that no single bad frame is missed. Null: not measured there.
 */
export const pictureCurves = z.object({
  framesPerPoint: field(
    'Frames per point; the last point may have fewer. Point i begins at frame i * ' + 'framesPerPoint.',
    z.number().int().positive(),
  ),
  levelMin: field(
    "Lowest level of the frames, percent of narrow range. R'G'B' for RGB pictures.",
    z.array(point),
  ),
  levelMax: field(
    "Highest level of the frames, percent of narrow range. R'G'B' for RGB pictures.",
    z.array(point),
  ),
  gamutArea: field('EBU R 103: largest share of the picture outside the tolerance.', z.array(point)),
  light: field(
    'Light as max(R,G,B), cd/m². Null for SDR and logs.',
    z
      .object({
        max: field('The highest, cd/m².', z.array(point)),
        p9999: field('The highest 99.99 percentile of a frame, cd/m².', z.array(point)),
        average: field('The mean of the frame averages, cd/m².', z.array(point)),
      })
      .nullable(),
  ),
});
export type PictureCurves = z.infer<typeof pictureCurves>;

export const soundCurve = z.object({
  stream: field('Index of the stream in the file, as in `audio`.', z.number().int().nonnegative()),
  secondsPerPoint: field(
    'Point i is for the window that ends at (i + 1) * secondsPerPoint.',
    z.number().positive(),
  ),
  momentary: field(
    "Momentary loudness, LUFS, the highest of the point's windows; null before the end of the first " +
      'window, and in silence.',
    z.array(point),
  ),
  shortTerm: field(
    "Short-term loudness, LUFS, the highest of the point's windows; null before the end of the first " +
      'window, and in silence.',
    z.array(point),
  ),
});
export type SoundCurve = z.infer<typeof soundCurve>;

export const curves = z.object({
  picture: field(
    'Figures of the picture over time; null where it was not measured.',
    pictureCurves.nullable(),
  ),
  sound: field('Loudness over time, stream by stream.', z.array(soundCurve)),
});
export type Curves = z.infer<typeof curves>;

/** Most points of one curve. */
export const MOST_POINTS = 2000;
