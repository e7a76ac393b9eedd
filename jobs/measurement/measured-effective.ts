import { z } from 'zod';
import { field } from '../documents/field.js';

/**
 * How much of the declared raster the picture really uses. For depth and chroma see `video.bitDepth` and
 * `video.chroma`.
 */
export const measuredEffective = z.object({
  raster: field(
    'Size of the picture before it was scaled up; the raster itself where it was not.',
    z.object({
      width: field('Width in pixels; null where not known.', z.number().int().positive().nullable()),
      height: field('Height in lines; null where not known.', z.number().int().positive().nullable()),
      confidence: field('How sure this is.', z.enum(['high', 'low'])),
    }),
  ),
});
export type MeasuredEffective = z.infer<typeof measuredEffective>;
