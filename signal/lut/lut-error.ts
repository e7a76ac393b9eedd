import type { Vector3 } from '../matrix3.js';

/** Differences between signals, in code values of a 10-bit narrow picture (876 codes from black to white). */
export interface LutError {
  /** Fraction of the samples, 0 to 1, within half a code: practically exact. */
  readonly exact: number;
  readonly withinOne: number;
  readonly mean: number;
  /** 99.9 % of all samples are within it. */
  readonly p999: number;
  readonly worst: number;
}

const CODES_PER_SIGNAL = 876;
const RAMP = 1024;
const RANDOM = 8192;

/**
 * Colours to measure tables with: a grey ramp, and colours spread evenly over all codes. Always the same.
 */
export function probeColours(): Vector3[] {
  const colours: Vector3[] = Array.from({ length: RAMP }, (_, code) => {
    const grey = code / (RAMP - 1);
    return [grey, grey, grey];
  });
  const random = seeded(1);
  for (let i = 0; i < RANDOM; i += 1) colours.push([random(), random(), random()]);
  return colours;
}

/**
 * Compares two lists of signals sample by sample, all three channels together; limited to 0..1 like a
 * picture.
 */
export function lutError(got: readonly Vector3[], expected: readonly Vector3[]): LutError {
  const errors = Float64Array.from(
    expected.flatMap((colour, i) => {
      const other = got[i];
      if (other === undefined) throw new RangeError('two lists of different length');
      return [0, 1, 2].map(
        (channel) => Math.abs(limited(other[channel]) - limited(colour[channel])) * CODES_PER_SIGNAL,
      );
    }),
  ).sort();
  const at = (share: number): number => errors[Math.max(Math.ceil(share * errors.length) - 1, 0)] ?? 0;
  const within = (codes: number): number =>
    errors.reduce((sum, e) => sum + (e <= codes ? 1 : 0), 0) / Math.max(errors.length, 1);
  return {
    ...{ exact: within(0.5), withinOne: within(1) },
    mean: errors.reduce((sum, e) => sum + e, 0) / errors.length,
    p999: at(0.999),
    worst: at(1),
  };
}

/**
 * A small random number generator with a seed (mulberry32, public domain): the same numbers on every machine.
 */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = state;
    t = Math.imul(t ^ (t >>> 15), t | 1);
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
  };
}

function limited(value: number | undefined): number {
  return Math.min(Math.max(value ?? Number.NaN, 0), 1);
}
