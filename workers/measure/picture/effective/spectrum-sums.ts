import { WINDOW, windowedTransform } from './fft64.js';

/** Frequencies that are kept, in 64ths of a cycle per sample; 32 is the highest possible. */
export const TOP = WINDOW / 2;

/**
 * Sums over the windows of one direction of one plane, as whole numbers in a stretch of a Float64Array:
 *
 * - entry 0: windows that count; entry 1: those left out, flat or equal to another one of the frame;
 * - 2 + k: power at |frequency| k / 64, k from 0 to 32, each window in units of its own total;
 * - then 2 entries for each pair of frequencies of PAIRS: real and imaginary part of the spectrum at one
 *   against that at the other.
 */
type Pairs = readonly (readonly [k: number, other: number])[];
const pairs = (first: number, last: number, apart: number): Pairs =>
  Array.from({ length: last - first + 1 }, (_, i) => [first + i, first + i - apart] as const);

/**
 * Interpolated samples leave images of the spectrum at the distance of the original sample rate: 32 of 64
 * where they were doubled, 42 2/3 where two became three, 48 where three became four. Images are strongest
 * near the end of the original band.
 */
const PAIRS = {
  doubled: pairs(11, 15, TOP),
  threeOfTwo: pairs(20, 23, 43),
  fourOfThree: pairs(22, 26, 48),
  // Blocks of 8 and of 4 samples relate all frequencies to those 8 and 16 away, and to multiples of these
  // distances.
  blocksOf8: pairs(18, 22, 8),
  blocksOf8Far: pairs(18, 22, 40),
  blocksOf4: pairs(27, 31, 16),
} as const satisfies Record<string, Pairs>;
export type ImageName = keyof typeof PAIRS;
const ALL_PAIRS: Pairs = Object.values(PAIRS).flat();
/**
 * Entries of a window's spectrum for each pair: at k and at the other frequency, and at the negative of both.
 */
const ENTRIES = Uint8Array.from(
  ALL_PAIRS.flatMap(([k, other]) => [k, other, -k, -other].map((frequency) => frequency & (WINDOW - 1))),
);
const POWER = 2;
const CROSS = POWER + TOP + 1;
export const SPECTRUM_LENGTH = CROSS + 2 * ALL_PAIRS.length;
/** Whole units of a window's total. */
const UNIT = 2 ** 24;

/** Lowest frequency counted in the total of a window: below it, every subsampling keeps the signal. */
const FIRST = 6;
/**
 * Least power of a window, relative to that of rounding to codes, for its detail to count: 20 dB.
 */
const LEAST_DETAIL = 100;
/**
 * Power of rounding errors (variance 1/12 each in the real and the imaginary part) over the counted
 * frequencies; the window's squares sum to 24.
 */
const ROUNDING = 2 * (1 / 12) * 24 * 2 * (TOP - FIRST);

/** Adds windows of complex samples (two planes, or two rows of one, as real and imaginary part) to sums. */
export class SpectrumSums {
  readonly re = new Float64Array(WINDOW);
  readonly im = new Float64Array(WINDOW);
  readonly #power = new Float64Array(TOP + 1);
  readonly #seen = new SeenTotals();

  constructor(readonly sums: Float64Array) {}

  newFrame(): void {
    this.#seen.clear();
  }

  /** Adds the samples in `re` and `im`, in codes; overwrites them. */
  add(): void {
    const { re, im, sums } = this;
    windowedTransform(re, im);
    const power = this.#power;
    power[TOP] = square(re, im, TOP);
    for (let k = 1; k < TOP; k++) power[k] = square(re, im, k) + square(re, im, WINDOW - k);
    const total = totalPower(re, im);
    // Lines that repeat another one (bars, boxes, titles) are one piece of evidence, not many.
    if (total < LEAST_DETAIL * ROUNDING || !this.#seen.isNew(total)) {
      sums[1] = (sums[1] ?? 0) + 1;
      return;
    }
    sums[0] = (sums[0] ?? 0) + 1;
    const unit = UNIT / total;
    for (let k = FIRST; k <= TOP; k++) {
      sums[POWER + k] = (sums[POWER + k] ?? 0) + Math.round((power[k] ?? 0) * unit);
    }
    addCrosses(re, im, unit, sums);
  }
}

function square(re: Float64Array, im: Float64Array, k: number): number {
  const a = re[k] ?? 0;
  const b = im[k] ?? 0;
  return a * a + b * b;
}

/** Power at all frequencies from FIRST on, positive and negative. */
function totalPower(re: Float64Array, im: Float64Array): number {
  let total = 0;
  for (let k = FIRST; k <= WINDOW - FIRST; k++) total += square(re, im, k);
  return total;
}

/**
 * X(k) times the conjugate of X(other), and the conjugate of the same at the negative frequencies: both pass
 * the same filter.
 */
function addCrosses(re: Float64Array, im: Float64Array, unit: number, sums: Float64Array): void {
  for (let entry = 0, at = CROSS; entry < ENTRIES.length; entry += 4, at += 2) {
    const a = ENTRIES[entry] ?? 0;
    const b = ENTRIES[entry + 1] ?? 0;
    const c = ENTRIES[entry + 2] ?? 0;
    const d = ENTRIES[entry + 3] ?? 0;
    const ra = re[a] ?? 0;
    const ia = im[a] ?? 0;
    const rb = re[b] ?? 0;
    const ib = im[b] ?? 0;
    const rc = re[c] ?? 0;
    const ic = im[c] ?? 0;
    const rd = re[d] ?? 0;
    const id = im[d] ?? 0;
    const real = ra * rb + ia * ib + rc * rd + ic * id;
    const imaginary = ia * rb - ra * ib - ic * rd + rc * id;
    sums[at] = (sums[at] ?? 0) + Math.round(real * unit);
    sums[at + 1] = (sums[at + 1] ?? 0) + Math.round(imaginary * unit);
  }
}

/**
 * Windows of one direction of a frame at most: 12 x 8 squares of 8 lines. Twice as many places keep the
 * search short.
 */
const PLACES = 2048;

/** Totals of the windows of a frame so far, none of them 0. A set that allocates no memory. */
class SeenTotals {
  readonly #places = new Float64Array(PLACES);
  readonly #value = new Float64Array(1);
  readonly #bits = new Int32Array(this.#value.buffer);

  clear(): void {
    this.#places.fill(0);
  }

  /** Whether there was no such total before; notes it. */
  isNew(total: number): boolean {
    const places = this.#places;
    this.#value[0] = total;
    const hash = Math.imul((this.#bits[0] ?? 0) ^ (this.#bits[1] ?? 0), 0x9e3779b1);
    let place = hash >>> 21;
    for (let found = places[place] ?? 0; found !== 0; found = places[place] ?? 0) {
      if (found === total) return false;
      place = (place + 1) & (PLACES - 1);
    }
    places[place] = total;
    return true;
  }
}

/** The sums averaged over windows. */
export interface Spectrum {
  readonly windows: number;
  /** Fraction of all windows that have detail and so count. */
  readonly detail: number;
  /** Share of a window's power at k / 64 cycles a sample, k from 0 to 32 (0 below the sixth). */
  readonly power: Float64Array;
  /**
   * How far the spectrum is an image of itself, from 0 to 1: 1 where all samples were made up. By chance it
   * is 1 / windows.
   */
  readonly images: Readonly<Record<ImageName, number>>;
}

export function readSpectrum(sums: Float64Array): Spectrum {
  const windows = sums[0] ?? 0;
  const power = Float64Array.from(
    { length: TOP + 1 },
    (_, k) => (sums[POWER + k] ?? 0) / (UNIT * Math.max(windows, 1)),
  );
  const coherences = ALL_PAIRS.map(([k, other], i) => {
    const re = (sums[CROSS + 2 * i] ?? 0) / (UNIT * Math.max(windows, 1));
    const im = (sums[CROSS + 2 * i + 1] ?? 0) / (UNIT * Math.max(windows, 1));
    const both = (power[Math.abs(k)] ?? 0) * (power[Math.abs(other)] ?? 0);
    return both > 0 ? (re * re + im * im) / both : 0;
  });
  const image = (name: ImageName): number => {
    const own = coherences.filter((_, i) => PAIRS[name].some((pair) => pair === ALL_PAIRS[i]));
    return own.reduce((a, b) => a + b, 0) / own.length;
  };
  const images = {
    doubled: image('doubled'),
    threeOfTwo: image('threeOfTwo'),
    fourOfThree: image('fourOfThree'),
    blocksOf8: image('blocksOf8'),
    blocksOf8Far: image('blocksOf8Far'),
    blocksOf4: image('blocksOf4'),
  };
  return { windows, detail: windows / Math.max(windows + (sums[1] ?? 0), 1), power, images };
}
