import { z } from 'zod';

/** A run of frames. Half open: `from` is in it, `to` is not. */
export const frameRange = z.object({
  from: z.number().int().nonnegative(),
  to: z.number().int().nonnegative(),
  fromTimecode: z.string().nullable(),
  toTimecode: z.string().nullable(),
});
export type FrameRange = z.infer<typeof frameRange>;
