import { lumaLevels, type RangeName, videoDataLevels } from '../../../../signal/quantise.js';
import { r103PreferredLevels } from '../../../../signal/r103.js';
import { SCALE_BITS } from './step-bits.js';

export interface SignalLimits {
  readonly min: number;
  readonly max: number;
}

/**
 * The EBU R 103 limits in kernel steps, on the scale of the declared range. R 103 speaks of the narrow range
 * only; a full-range picture is judged as it would stand after an exact mapping to narrow: black on black,
 * nominal peak on nominal peak.
 */
export function r103Steps(depth: number, range: RangeName): SignalLimits {
  const limits = r103PreferredLevels(depth);
  const narrow = lumaLevels(depth, 'narrow');
  const declared = lumaLevels(depth, range);
  const steps = (code: number): number => {
    const signal = (code - narrow.black) / (narrow.white - narrow.black);
    return (declared.black + signal * (declared.white - declared.black)) * 2 ** (SCALE_BITS - depth);
  };
  return { min: steps(limits.min), max: steps(limits.max) };
}

/** True where SDI keeps a code for synchronisation: 0-3 and 1020-1023 at 10 bits. */
export function isReserved(code: number, depth: number): boolean {
  const { min, max } = videoDataLevels(depth);
  return code < min || code > max;
}
