/**
 * Quantisation of signal values to code values and back, from the formulas of ITU-R BT.2100-3 (02/2025),
 * Table 9 (narrow range: the same as BT.709-6 item 4.6 and BT.2020-2 Table 5), for any depth of 8 to 16 bits.
 *
 * Luma, R', G' and B' signals run 0..1, Cb and Cr -0.5..0.5; values outside are coded as far as the depth
 * allows.
 */

/** The two quantisation ranges of BT.2100. */
export const RANGE_NAMES = ['narrow', 'full'] as const;
export type RangeName = (typeof RANGE_NAMES)[number];

/** Bits per sample the formulas are defined for here. */
export const MIN_DEPTH = 8;
export const MAX_DEPTH = 16;

/** The 8-bit values of the narrow range; other depths are these times 2^(depth - 8). */
const NARROW_BLACK = 16;
const NARROW_LUMA_SPAN = 219;
const NARROW_NEUTRAL = 128;
const NARROW_CHROMA_SPAN = 224;

/** BT.2100-3 Table 9, note: Round(x) = Sign(x) * Floor(|x| + 0.5). Math.round differs on negative halves. */
export function roundHalfAwayFromZero(value: number): number {
  const rounded = Math.sign(value) * Math.floor(Math.abs(value) + 0.5);
  return rounded === 0 ? 0 : rounded;
}

export interface LumaLevels {
  /** Code of signal 0. */
  readonly black: number;
  /** Code of signal 1 (nominal peak). */
  readonly white: number;
}

export interface ChromaLevels {
  /** Code of signal -0.5 (may lie half a code below 0 in full range, where it is not codable). */
  readonly min: number;
  /** Code of signal 0. */
  readonly neutral: number;
  /** Code of signal 0.5. */
  readonly max: number;
}

/** Nominal levels of Y', R', G', B'. Throws RangeError for a depth outside 8..16. */
export function lumaLevels(depth: number, range: RangeName): LumaLevels {
  const scale = narrowScale(depth);
  if (range === 'full') return { black: 0, white: maxCode(depth) };
  return { black: NARROW_BLACK * scale, white: (NARROW_BLACK + NARROW_LUMA_SPAN) * scale };
}

/** Nominal levels of Cb, Cr. Throws RangeError for a depth outside 8..16. */
export function chromaLevels(depth: number, range: RangeName): ChromaLevels {
  const scale = narrowScale(depth);
  const neutral = NARROW_NEUTRAL * scale;
  const half = range === 'full' ? maxCode(depth) / 2 : (NARROW_CHROMA_SPAN / 2) * scale;
  return { min: neutral - half, neutral, max: neutral + half };
}

/** Code of a Y', R', G' or B' signal, rounded and limited to 0 .. 2^depth - 1. */
export function encodeLuma(signal: number, depth: number, range: RangeName): number {
  return storable(lumaPosition(signal, depth, range), depth);
}

/** Code of a Cb or Cr signal, rounded and limited to 0 .. 2^depth - 1. */
export function encodeChroma(signal: number, depth: number, range: RangeName): number {
  return storable(chromaPosition(signal, depth, range), depth);
}

/** Position of a Y', R', G' or B' signal on the code scale, before rounding and limiting. */
export function lumaPosition(signal: number, depth: number, range: RangeName): number {
  const { black, white } = lumaLevels(depth, range);
  return black + signal * (white - black);
}

/** Position of a Cb or Cr signal on the code scale, before rounding and limiting. */
export function chromaPosition(signal: number, depth: number, range: RangeName): number {
  const { min, neutral, max } = chromaLevels(depth, range);
  return neutral + signal * (max - min);
}

/** Y', R', G' or B' signal of a code (whole or not). */
export function decodeLuma(code: number, depth: number, range: RangeName): number {
  const { black, white } = lumaLevels(depth, range);
  return (code - black) / (white - black);
}

/** Cb or Cr signal of a code (whole or not). */
export function decodeChroma(code: number, depth: number, range: RangeName): number {
  const { min, neutral, max } = chromaLevels(depth, range);
  return (code - neutral) / (max - min);
}

/** Largest code of a depth. Throws RangeError for a depth outside 8..16. */
export function maxCode(depth: number): number {
  return 256 * narrowScale(depth) - 1;
}

/**
 * Codes that may carry video on SDI: the interface reserves the lowest and highest 2^(depth - 8) codes for
 * synchronisation (BT.1120-9, BT.2100-3 Table 9: video data 1..254 at 8 bits, 4..1019 at 10, 16..4079 at 12).
 */
export function videoDataLevels(depth: number): { readonly min: number; readonly max: number } {
  const scale = narrowScale(depth);
  return { min: scale, max: maxCode(depth) - scale };
}

function narrowScale(depth: number): number {
  if (!Number.isInteger(depth) || depth < MIN_DEPTH || depth > MAX_DEPTH) {
    throw new RangeError(`bit depth ${depth} is not a whole number of ${MIN_DEPTH} to ${MAX_DEPTH}`);
  }
  return 2 ** (depth - 8);
}

function storable(position: number, depth: number): number {
  return Math.min(Math.max(roundHalfAwayFromZero(position), 0), maxCode(depth));
}
