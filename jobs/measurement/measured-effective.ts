import { z } from 'zod';
import { field } from '../documents/field.js';

/**
 * What of the declared format a picture really uses, beyond `video.bitDepth` and `video.chroma`, which hold
 * theirs beside what is declared.
 */
export const measuredEffective = z.object({
  raster: field(
    "The size of the picture before it was scaled up. Equal to the raster's where nothing was.",
    z.object({
      width: field('Width in pixels; null where it cannot be told.', z.number().int().positive().nullable()),
      height: field('Height in lines; null where it cannot be told.', z.number().int().positive().nullable()),
      confidence: field('How sure this is.', z.enum(['high', 'low'])),
    }),
  ),
});
export type MeasuredEffective = z.infer<typeof measuredEffective>;
