import { z } from 'zod';
import { GAMUTS, PRIMARIES_NAMES } from '../../signal/gamut/gamuts.js';
import { findNamed, type Named } from '../../signal/named.js';
import { RANGE_NAMES } from '../../signal/quantise.js';
import { TRANSFER_FUNCTIONS, TRANSFER_NAMES } from '../../signal/transfer/transfer-functions.js';
import { MATRICES, MATRIX_NAMES } from '../../signal/ycbcr.js';
import { field } from '../documents/field.js';
import { NAMES_COMMAND, offeredWords, wordsOf } from './colour-words.js';

/** A rate or ratio as every document writes it: `"30000/1001"`, `"25/1"`, `"25"`. */
export const rationalText = z
  .string()
  .regex(/^[1-9]\d{0,14}(\/[1-9]\d{0,14})?$/, 'a rational such as "25/1" or "30000/1001"');

export const transferName = z.enum(TRANSFER_NAMES);
export const primariesName = z.enum(PRIMARIES_NAMES);
export const matrixName = z.enum(MATRIX_NAMES);

/** As people write them: by name or trade name, in any spelling; parsing returns the name. */
export const writtenTransfer = written(TRANSFER_FUNCTIONS, transferName);
export const writtenPrimaries = written(GAMUTS, primariesName);
export const writtenMatrix = written(MATRICES, matrixName);

/** One of a list, by its name or one of its aliases. */
export function written<Names extends Readonly<Record<string, string>>>(
  all: readonly Named<Names[keyof Names]>[],
  names: z.ZodEnum<Names>,
) {
  return z.codec(z.string().meta({ enum: offeredWords(all) }), names, {
    decode: (text, context) => {
      const found = findNamed(all, text);
      if (found !== null) return found.name;
      context.issues.push({
        ...{ code: 'custom', input: text, params: { words: wordsOf(all) } },
        message: `a name that \`${NAMES_COMMAND}\` lists`,
      });
      return z.NEVER;
    },
    encode: (name) => name,
  });
}
export const rangeName = z.enum(RANGE_NAMES);

/** Colour as one layer of a file declares it; null where it declares nothing, or a value without a name. */
export const colourTags = z.object({
  primaries: field('Primaries, by their H.273 name.', z.string().nullable()),
  transfer: field('Transfer function, by its H.273 name.', z.string().nullable()),
  matrix: field("Y'CbCr matrix, by its H.273 name; `gbr` for RGB.", z.string().nullable()),
  range: field('Quantisation range: narrow or full (ITU-R BT.2100).', rangeName.nullable()),
});
export type ColourTags = z.infer<typeof colourTags>;

/** A complete colour: what the code values of a picture mean. */
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

const chromaticity = z.tuple([z.number(), z.number()]);

/** Static metadata as a file declares it. */
export const hdrStaticMetadata = z.object({
  mastering: field(
    'The mastering display (SMPTE ST 2086); null where the file declares none.',
    z
      .object({
        red: field('Red primary, CIE x and y.', chromaticity),
        green: field('Green primary, CIE x and y.', chromaticity),
        blue: field('Blue primary, CIE x and y.', chromaticity),
        white: field('White point, CIE x and y.', chromaticity),
        minLuminance: field(
          'Darkest level of the display, cd/m²; 0 means unknown.',
          z.number().nonnegative(),
        ),
        maxLuminance: field('Peak of the display, cd/m².', z.number().nonnegative()),
      })
      .nullable(),
  ),
  lightLevel: field(
    'The light level of the content (CTA-861.3); null where the file declares none.',
    z
      .object({
        maxCll: field('MaxCLL, the brightest pixel, cd/m²; 0 means unknown.', z.number().nonnegative()),
        maxFall: field(
          'MaxFALL, the highest average of a frame, cd/m²; 0 means unknown.',
          z.number().nonnegative(),
        ),
      })
      .nullable(),
  ),
});
export type HdrStaticMetadata = z.infer<typeof hdrStaticMetadata>;
