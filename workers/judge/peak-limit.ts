import { decodeLuma, encodeLuma } from '../../signal/quantise.js';
import { PQ, PQ_PEAK_NITS } from '../../signal/transfer/pq.js';

/** The PQ code a limit of so many cd/m2 stands for: a limit between two codes is the nearer one (1000 cd/m2 is 723 at 10 bits). */
export function peakLimitCode(max: number, depth: number): number {
  return encodeLuma(PQ.inverseEotf(Math.min(max, PQ_PEAK_NITS)), depth, 'narrow');
}

/** The most light that still meets a limit, cd/m2: that of its code where it is more (code 723 shows as 1004 cd/m2). */
export function highestAllowedNits(max: number, depth: number): number {
  return Math.max(max, PQ.eotf(decodeLuma(peakLimitCode(max, depth), depth, 'narrow'))) * (1 + 1e-9);
}
