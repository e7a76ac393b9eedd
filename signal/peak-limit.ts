import { decodeLuma, encodeLuma } from './quantise.js';
import { PQ, PQ_PEAK_NITS } from './transfer/pq.js';

/** Of a level that is exactly at the limit. */
const ROUNDING = 1e-9;

/**
 * The PQ code a limit stands for: one between two codes is the nearer one, so 1000 cd/m2 is code 723 at 10
 * bits.
 */
export function peakLimitCode(max: number, depth: number): number {
  return encodeLuma(PQ.inverseEotf(Math.min(max, PQ_PEAK_NITS)), depth, 'narrow');
}

/**
 * The most light that still meets a limit, cd/m2: what its code shows where that is more (code 723 shows
 * 1004), and the tolerance, a fraction, on top.
 */
export function highestAllowedNits(max: number, depth: number, tolerance = 0): number {
  const shown = PQ.eotf(decodeLuma(peakLimitCode(max, depth), depth, 'narrow'));
  return Math.max(max, shown) * (1 + tolerance) * (1 + ROUNDING);
}
