import type { Rational } from '../../../signal/rational.js';

/**
 * Whether a frame so many ticks after the first is the one of this number, where the rate is constant. A
 * container rounds each stamp by half a tick.
 */
export function isStampOf(frame: number, ticks: number, timeBase: Rational, rate: Rational): boolean {
  const perFrame = (rate.den * timeBase.den) / (rate.num * timeBase.num);
  const off = Math.abs(ticks - frame * perFrame);
  if (perFrame > 2) return off <= 1;
  // Where a frame is hardly longer than a tick, a rounded stamp does not tell it from its neighbours; a clock
  // that counts in frames (that of MXF does, and many a MOV's) rounds nothing.
  return Number.isInteger(perFrame) && off === 0;
}

/** Containers with an index and a time stamp for every frame: a frame in them is found by its time. */
export const SEEKABLE = /(^|,)(mov|mp4|matroska|webm|mxf)(,|$)/;

/** Time of a frame after the first, s, half a frame early: the stamp itself may be rounded either way. */
export function justBefore(frame: number, rate: Rational): number {
  return ((frame - 0.5) * rate.den) / rate.num;
}
