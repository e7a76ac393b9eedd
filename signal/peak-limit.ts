import { decodeLuma, encodeLuma } from './quantise.js';
import { PQ, PQ_PEAK_NITS } from './transfer/pq.js';

/** Rounding of a level that is exactly at the limit. */
const ROUNDING = 1e-9;

/**
 * The PQ code nearest to a limit: 1000 cd/m2 is code 723 at 10 bits.
 */
export function peakLimitCode(max: number, depth: number): number {
  return encodeLuma(PQ.inverseEotf(Math.min(max, PQ_PEAK_NITS)), depth, 'narrow');
}

/**
 * The most light that still meets a limit, cd/m2: the light of its code where that is more (code 723 is
 * 1004), plus the tolerance, a fraction.
 */
export function highestAllowedNits(max: number, depth: number, tolerance = 0): number {
  const shown = PQ.eotf(decodeLuma(peakLimitCode(max, depth), depth, 'narrow'));
  return Math.max(max, shown) * (1 + tolerance) * (1 + ROUNDING);
}
