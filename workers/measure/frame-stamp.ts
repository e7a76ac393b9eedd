import type { Rational } from '../../signal/rational.js';

/**
 * Whether a frame so many ticks after the first is the one of this number, where the rate is constant. A container rounds each
 * stamp by half a tick, unless a frame is a whole number of ticks.
 */
export function isStampOf(frame: number, ticks: number, timeBase: Rational, rate: Rational): boolean {
  const frameTicks = rate.den * timeBase.den;
  const parts = rate.num * timeBase.num;
  const perFrame = frameTicks / parts;
  if (perFrame > 2) return Math.abs(ticks - frame * perFrame) <= 1;
  // Where a frame is hardly longer than a tick, a rounded stamp does not tell it from its neighbours.
  return frameTicks % parts === 0 && ticks === frame * perFrame;
}

/** Containers with an index and a time stamp for every frame: a frame in them is found by its time. */
export const SEEKABLE = /(^|,)(mov|mp4|matroska|webm|mxf)(,|$)/;

/** Time of a frame after the first, s, half a frame early: the stamp itself may be rounded either way. */
export function justBefore(frame: number, rate: Rational): number {
  return ((frame - 0.5) * rate.den) / rate.num;
}
