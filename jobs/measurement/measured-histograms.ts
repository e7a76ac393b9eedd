import { z } from 'zod';
import { field } from '../documents/field.js';

/**
 * Samples by code over the whole file; at most 1,024 bins, so a 12- or 16-bit picture has several codes per
 * bin.
 */
export const codeHistogram = z.object({
  firstCode: field('Lowest code of the first bin: empty bins at either end are left out.', z.number().int()),
  codesPerBin: field(
    'Codes per bin: bin i starts at code `firstCode + i * codesPerBin`.',
    z.number().int().positive(),
  ),
  counts: field('Samples in each bin.', z.array(z.number().nonnegative())),
});
export type CodeHistogram = z.infer<typeof codeHistogram>;

const ofEveryFewPixels =
  "in Y'CbCr pictures, of the pixels with their own chroma sample in two of eight rows";

/** Null where the picture has no such component, or its matrix is unknown. Codes at the declared depth. */
export const histograms = z.object({
  luma: field("Y', of all samples.", codeHistogram.nullable()),
  cb: field('Cb, of all samples.', codeHistogram.nullable()),
  cr: field('Cr, of all samples.', codeHistogram.nullable()),
  red: field(`R', of all samples; ${ofEveryFewPixels}.`, codeHistogram.nullable()),
  green: field(`G', of all samples; ${ofEveryFewPixels}.`, codeHistogram.nullable()),
  blue: field(`B', of all samples; ${ofEveryFewPixels}.`, codeHistogram.nullable()),
});
export type Histograms = z.infer<typeof histograms>;
