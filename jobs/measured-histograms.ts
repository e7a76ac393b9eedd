import { z } from 'zod';

/**
 * Samples by code over the whole file. Bin i holds the codes from `firstCode + i * codesPerBin` up to the next bin's; at most
 * 1,024 bins, so that a 12- or 16-bit picture shares codes to a bin. Empty bins at either end are left out.
 */
export const codeHistogram = z.object({
  firstCode: z.number().int(),
  codesPerBin: z.number().int().positive(),
  counts: z.array(z.number().nonnegative()),
});
export type CodeHistogram = z.infer<typeof codeHistogram>;

/**
 * Null where the picture has no such component, or its matrix is unknown. Codes at the declared depth. R', G', B' of Y'CbCr pictures are
 * those of the pixels with a sample of chroma of their own on two rows of eight; everything else counts all samples.
 */
export const histograms = z.object({
  luma: codeHistogram.nullable(),
  cb: codeHistogram.nullable(),
  cr: codeHistogram.nullable(),
  red: codeHistogram.nullable(),
  green: codeHistogram.nullable(),
  blue: codeHistogram.nullable(),
});
export type Histograms = z.infer<typeof histograms>;
