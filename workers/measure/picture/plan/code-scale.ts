import { chromaLevels, lumaLevels, maxCode, type RangeName } from '../../../../signal/quantise.js';
import { lumaCoefficients, type MatrixName } from '../../../../signal/ycbcr.js';
import { FACTOR_BITS, SCALE_BITS, SHORT_BITS } from './step-bits.js';

/**
 * The matrix in whole numbers: steps of R', G', B' per code of chroma, times 2^FACTOR_BITS, so that every
 * kernel gets the same steps. Rounding a factor costs at most a 16th of a step at 10 bits, and 4 steps of the
 * 1,024 of a 16-bit code.
 */
export interface ChromaFactors {
  readonly neutral: number;
  readonly crToRed: number;
  readonly cbToGreen: number;
  readonly crToGreen: number;
  readonly cbToBlue: number;
}

/** Deeper pictures are rare and counted one by one: the bins of their R'G'B' are wider than a code. */
const DEEPEST_SHORT = 12;

/**
 * The matrix for short sums, in short steps. Chroma goes up to 16 bits times `chroma`, a short step for each
 * 2^`depth - 14` of a code. For R' and B' its product with a factor of 15 fraction bits is added to it, since
 * their factors lie between 1 and 2; for G' both products are added, then rounded once. A sum is off by less
 * than one short step: half of one for the rounding, an eighth for each factor's own.
 */
export interface ShortFactors {
  readonly chroma: number;
  /** Less one. */
  readonly crToRed: number;
  readonly cbToGreen: number;
  readonly crToGreen: number;
  /** Less one. */
  readonly cbToBlue: number;
}

/** Tables from a chroma code to its share of R', G' and B', in steps. */
export interface ChromaTables {
  readonly factors: ChromaFactors;
  /** Null for depths that do not fit. */
  readonly short: ShortFactors | null;
  readonly crToRed: Int32Array;
  readonly cbToGreen: Int32Array;
  readonly crToGreen: Int32Array;
  readonly cbToBlue: Int32Array;
}

export interface CodeScale {
  readonly depth: number;
  /** Codes become steps by this left shift. */
  readonly shift: number;
  readonly topCode: number;
  /** Signal 0 and 1 of Y', R', G', B', in steps. */
  readonly black: number;
  readonly white: number;
  /** Smallest and largest step an R', G' or B' can have. */
  readonly least: number;
  readonly most: number;
  /** Null for RGB and grey, which need no matrix. */
  readonly chroma: ChromaTables | null;
}

/** Throws RangeError for a depth outside 8..16. */
export function codeScale(depth: number, range: RangeName, matrix: MatrixName): CodeScale {
  const shift = SCALE_BITS - depth;
  const { black, white } = lumaLevels(depth, range);
  const topCode = maxCode(depth);
  const steps = 2 ** shift;
  const flat = {
    depth,
    shift,
    topCode,
    black: black * steps,
    white: white * steps,
  };
  if (matrix === 'gbr') return { ...flat, least: 0, most: topCode * steps, chroma: null };

  const { kr, kg, kb } = lumaCoefficients(matrix);
  const levels = chromaLevels(depth, range);
  const stepsPerCode = (steps * (white - black)) / (levels.max - levels.min);
  const factorsOf = {
    crToRed: 2 * (1 - kr),
    cbToGreen: (-2 * kb * (1 - kb)) / kg,
    crToGreen: (-2 * kr * (1 - kr)) / kg,
    cbToBlue: 2 * (1 - kb),
  };
  const whole = (factor: number): number => Math.round(factor * stepsPerCode * 2 ** FACTOR_BITS);
  const factors: ChromaFactors = {
    neutral: levels.neutral,
    crToRed: whole(factorsOf.crToRed),
    cbToGreen: whole(factorsOf.cbToGreen),
    crToGreen: whole(factorsOf.crToGreen),
    cbToBlue: whole(factorsOf.cbToBlue),
  };
  const fraction = (factor: number, less: number): number =>
    Math.round(((factor * stepsPerCode) / steps - less) * 2 ** 15);
  const short: ShortFactors = {
    chroma: 2 ** (SCALE_BITS - SHORT_BITS - depth),
    crToRed: fraction(factorsOf.crToRed, 1),
    cbToGreen: fraction(factorsOf.cbToGreen, 0),
    crToGreen: fraction(factorsOf.crToGreen, 0),
    cbToBlue: fraction(factorsOf.cbToBlue, 1),
  };
  const table = (factor: number): Int32Array =>
    Int32Array.from({ length: topCode + 1 }, (_, code) =>
      Math.floor(((code - levels.neutral) * factor) / 2 ** FACTOR_BITS + 0.5),
    );
  const chroma: ChromaTables = {
    factors,
    short: depth > DEEPEST_SHORT ? null : short,
    crToRed: table(factors.crToRed),
    cbToGreen: table(factors.cbToGreen),
    crToGreen: table(factors.crToGreen),
    cbToBlue: table(factors.cbToBlue),
  };
  const ends = (values: Int32Array): [number, number] => {
    const first = values[0] ?? 0;
    const last = values[topCode] ?? 0;
    return [Math.min(first, last), Math.max(first, last)];
  };
  const [redLow, redHigh] = ends(chroma.crToRed);
  const [blueLow, blueHigh] = ends(chroma.cbToBlue);
  const [greenCbLow, greenCbHigh] = ends(chroma.cbToGreen);
  const [greenCrLow, greenCrHigh] = ends(chroma.crToGreen);
  return {
    ...flat,
    least: Math.min(redLow, blueLow, greenCbLow + greenCrLow),
    most: topCode * steps + Math.max(redHigh, blueHigh, greenCbHigh + greenCrHigh),
    chroma,
  };
}
