import type { Vector3 } from './matrix3.js';
import { byName, type Named } from './named.js';

export interface LumaCoefficients {
  readonly kr: number;
  readonly kg: number;
  readonly kb: number;
}

/** How the planes of a picture are computed from R'G'B'. */
export interface YcbcrMatrix<Name extends string = string> extends Named<Name> {
  /** Value in ITU-T H.273 (07/2024), Table 4. */
  readonly codePoint: number;
  /** null: none, the planes are G', B', R' as they are. */
  readonly luma: LumaCoefficients | null;
}

/**
 * ITU-R BT.601-7, clause 2.5.1: the same for 525 and 625 lines, and not derived from either set of primaries.
 */
const BT601 = { kr: 0.299, kg: 0.587, kb: 0.114 } as const;

/**
 * The printed four-digit figures are normative; the Y row derived from the chromaticities agrees with them to
 * 5e-5 for BT.709 and BT.2020 and is not used, so that codes match other equipment.
 */
const LISTED = [
  // ITU-R BT.709-6, item 3.2.
  { name: 'bt709', aliases: ['Rec.709'], codePoint: 1, luma: { kr: 0.2126, kg: 0.7152, kb: 0.0722 } },
  // ITU-R BT.2020-2, Table 4 (non-constant luminance); BT.2100-3, Table 6.
  {
    name: 'bt2020nc',
    aliases: ['Rec.2020', 'BT.2020', 'BT.2100'],
    codePoint: 9,
    luma: { kr: 0.2627, kg: 0.678, kb: 0.0593 },
  },
  { name: 'smpte170m', aliases: ['Rec.601', 'BT.601'], codePoint: 6, luma: BT601 },
  { name: 'bt470bg', aliases: ['Rec.601-625', 'BT.601-625'], codePoint: 5, luma: BT601 },
  { name: 'gbr', aliases: ['RGB'], codePoint: 0, luma: null },
] as const satisfies readonly YcbcrMatrix[];

export type MatrixName = (typeof LISTED)[number]['name'];
/** The matrices that make Y'CbCr, which `gbr` does not. */
export type YcbcrMatrixName = Exclude<(typeof LISTED)[number], { readonly luma: null }>['name'];
export const MATRICES: readonly YcbcrMatrix<MatrixName>[] = LISTED;
export const MATRIX_NAMES: readonly MatrixName[] = LISTED.map(({ name }) => name);

const matrixOf = byName<MatrixName, YcbcrMatrix<MatrixName>>(MATRICES);

/** Throws RangeError for `gbr`, which has no luma. */
export function lumaCoefficients(matrix: YcbcrMatrixName): LumaCoefficients {
  const { luma } = matrixOf(matrix);
  if (luma === null) throw new RangeError(`${matrix} planes have no luma`);
  return luma;
}

/** R'G'B' signals to [Y', Cb, Cr]; nominal ranges 0..1 and -0.5..0.5, linear and unlimited outside them. */
export function rgbToYcbcr([r, g, b]: Vector3, matrix: YcbcrMatrixName): Vector3 {
  const { kr, kg, kb } = lumaCoefficients(matrix);
  const y = kr * r + kg * g + kb * b;
  return [y, (b - y) / (2 * (1 - kb)), (r - y) / (2 * (1 - kr))];
}

/** [Y', Cb, Cr] signals to R'G'B'. */
export function ycbcrToRgb([y, cb, cr]: Vector3, matrix: YcbcrMatrixName): Vector3 {
  const { kr, kg, kb } = lumaCoefficients(matrix);
  const r = y + 2 * (1 - kr) * cr;
  const b = y + 2 * (1 - kb) * cb;
  return [r, (y - kr * r - kb * b) / kg, b];
}
