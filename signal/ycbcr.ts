import type { MatrixName } from './colour-names.js';
import type { Vector3 } from './matrix3.js';

/** The matrices that make Y'CbCr. `gbr` is none: its planes are G', B', R' as they are (H.273 Table 4, value 0). */
export type YcbcrMatrixName = Exclude<MatrixName, 'gbr'>;

export interface LumaCoefficients {
  readonly kr: number;
  readonly kg: number;
  readonly kb: number;
}

/** ITU-R BT.601-7, clause 2.5.1: the same for 525 and 625 lines, and not derived from either set of primaries. */
const BT601: LumaCoefficients = { kr: 0.299, kg: 0.587, kb: 0.114 };

/**
 * The printed four-digit figures are normative; the Y row derived from the chromaticities agrees with them to
 * 5e-5 for BT.709 and BT.2020 and is not used, so that codes match other equipment.
 */
const LUMA_COEFFICIENTS: Readonly<Record<YcbcrMatrixName, LumaCoefficients>> = {
  // ITU-R BT.709-6, item 3.2.
  bt709: { kr: 0.2126, kg: 0.7152, kb: 0.0722 },
  // ITU-R BT.2020-2, Table 4 (non-constant luminance); BT.2100-3, Table 6.
  bt2020nc: { kr: 0.2627, kg: 0.678, kb: 0.0593 },
  smpte170m: BT601,
  bt470bg: BT601,
};

export function lumaCoefficients(matrix: YcbcrMatrixName): LumaCoefficients {
  return LUMA_COEFFICIENTS[matrix];
}

/** R'G'B' signals to [Y', Cb, Cr]; nominal ranges 0..1 and -0.5..0.5, linear and unlimited outside them. */
export function rgbToYcbcr([r, g, b]: Vector3, matrix: YcbcrMatrixName): Vector3 {
  const { kr, kg, kb } = LUMA_COEFFICIENTS[matrix];
  const y = kr * r + kg * g + kb * b;
  return [y, (b - y) / (2 * (1 - kb)), (r - y) / (2 * (1 - kr))];
}

/** [Y', Cb, Cr] signals to R'G'B'. */
export function ycbcrToRgb([y, cb, cr]: Vector3, matrix: YcbcrMatrixName): Vector3 {
  const { kr, kg, kb } = LUMA_COEFFICIENTS[matrix];
  const r = y + 2 * (1 - kr) * cr;
  const b = y + 2 * (1 - kb) * cb;
  return [r, (y - kr * r - kb * b) / kg, b];
}
