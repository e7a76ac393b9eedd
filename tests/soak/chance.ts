/**
 * Chance that comes again: numbers from a seed (mulberry32, public domain; from memory). Which faults come,
 * in which order and after how long is repeated by the seed; where they hit is up to the machine's speed.
 */
export interface Chance {
  /** 0 <= number < 1. */
  next(): number;
  /** from <= whole number < to. */
  whole(from: number, to: number): number;
  one<T>(of: readonly T[]): T;
}

export function chanceOf(seed: number): Chance {
  let state = seed >>> 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
  const whole = (from: number, to: number): number => from + Math.floor(next() * (to - from));
  return {
    next,
    whole,
    one(of) {
      const drawn = of[whole(0, of.length)];
      if (drawn === undefined) throw new Error('nothing to draw from');
      return drawn;
    },
  };
}
