import { z } from 'zod';

/**
 * What of the declared format a picture really uses, beyond `video.bitDepth` and `video.chroma`, which hold theirs beside what is
 * declared.
 */
export const measuredEffective = z.object({
  /** The size of the picture before it was scaled up, in pixels; null where it cannot be told. Equal to the raster's where nothing was. */
  raster: z.object({
    width: z.number().int().positive().nullable(),
    height: z.number().int().positive().nullable(),
    confidence: z.enum(['high', 'low']),
  }),
});
export type MeasuredEffective = z.infer<typeof measuredEffective>;
