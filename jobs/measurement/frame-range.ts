import { z } from 'zod';
import { field } from '../documents/field.js';

/** A range of frames, half open: `from` is in it, `to` is not. */
export const frameRange = z.object({
  from: field('First frame in it, from 0.', z.number().int().nonnegative()),
  to: field('First frame after it, from 0.', z.number().int().nonnegative()),
  fromTimecode: field('Timecode of `from`; null where the file has none.', z.string().nullable()),
  toTimecode: field('Timecode of `to`; null where the file has none.', z.string().nullable()),
});
export type FrameRange = z.infer<typeof frameRange>;
