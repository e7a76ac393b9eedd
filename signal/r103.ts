import { MIN_DEPTH, videoDataLevels } from './quantise.js';

/** Lowest and highest code, both allowed. */
export interface CodeLimits {
  readonly min: number;
  readonly max: number;
}

/** The 10-bit row of the preferred range; the 8-, 12- and 16-bit rows of the table are this one shifted. */
const PREFERRED_AT_10_BITS: CodeLimits = { min: 20, max: 984 };

/**
 * EBU R 103 v3.0 (May 2020), Table 1, "preferred minimum/maximum": for R', G', B' and Y' alike, narrow range.
 *
 * The table's codes are the 10-bit ones shifted, not -5 % and 105 % rounded at each depth (which would give
 * 81 and 3935 at 12 bits, where the table prints 80 and 3936). Throws RangeError for a depth outside 8..16.
 */
export function r103PreferredLevels(depth: number): CodeLimits {
  const scale = videoDataLevels(depth).min / 2 ** (10 - MIN_DEPTH);
  return {
    min: Math.ceil(PREFERRED_AT_10_BITS.min * scale),
    max: Math.floor(PREFERRED_AT_10_BITS.max * scale),
  };
}

/** EBU R 103 v3.0, Table 1, "total video signal range": what the interface can carry. */
export function r103TotalLevels(depth: number): CodeLimits {
  return videoDataLevels(depth);
}
