import { z } from 'zod';
import { MATRIX_NAMES, PRIMARIES_NAMES, RANGE_NAMES, TRANSFER_NAMES } from '../signal/colour-names.js';

/** A rate or ratio as every document writes it: `"30000/1001"`, `"25/1"`, `"25"`. */
export const rationalText = z
  .string()
  .regex(/^[1-9]\d{0,14}(\/[1-9]\d{0,14})?$/, 'a rational such as "25/1" or "30000/1001"');

export const transferName = z.enum(TRANSFER_NAMES);
export const primariesName = z.enum(PRIMARIES_NAMES);
export const matrixName = z.enum(MATRIX_NAMES);
export const rangeName = z.enum(RANGE_NAMES);

/** A colour as a file's own layers state it; null where a layer says nothing or something we cannot name. */
export const colourTags = z.object({
  primaries: z.string().nullable(),
  transfer: z.string().nullable(),
  matrix: z.string().nullable(),
  range: rangeName.nullable(),
});
export type ColourTags = z.infer<typeof colourTags>;

/** A colour fully known: what a picture's code values mean. */
export const colour = z.object({
  primaries: primariesName,
  transfer: transferName,
  matrix: matrixName,
  range: rangeName,
});
export type Colour = z.infer<typeof colour>;

export const chromaName = z.enum(['4:4:4', '4:2:2', '4:2:0', '4:1:1', '4:0:0']);
export type ChromaName = z.infer<typeof chromaName>;

export const scanName = z.enum(['progressive', 'interlaced-tff', 'interlaced-bff']);
export type ScanName = z.infer<typeof scanName>;

/** ST 2086 mastering display and CTA-861.3 light level, as a file declares them. cd/m2; chromaticities CIE xy. */
export const hdrStaticMetadata = z.object({
  mastering: z
    .object({
      red: z.tuple([z.number(), z.number()]),
      green: z.tuple([z.number(), z.number()]),
      blue: z.tuple([z.number(), z.number()]),
      white: z.tuple([z.number(), z.number()]),
      minLuminance: z.number().nonnegative(),
      maxLuminance: z.number().nonnegative(),
    })
    .nullable(),
  lightLevel: z.object({ maxCll: z.number().nonnegative(), maxFall: z.number().nonnegative() }).nullable(),
});
export type HdrStaticMetadata = z.infer<typeof hdrStaticMetadata>;
