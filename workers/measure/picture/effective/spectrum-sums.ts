import { WINDOW, windowedTransform } from './fft64.js';

/** Frequencies that are kept, in 64ths of a cycle a sample; 32 is the highest a plane can carry. */
export const TOP = WINDOW / 2;
const HALF = WINDOW / 4;

/**
 * Sums over the windows of one direction of one plane, as whole numbers in a stretch of a Float64Array:
 *
 * - entry 0: windows that count; entry 1: those left out, flat or equal to another one of the frame;
 * - 2 + k: power at |frequency| k / 64, k from 0 to 32, each window in units of its own total;
 * - then 2 entries for each k from 1 to 15: real and imaginary part of the spectrum at k against that at k - 32.
 */
export const SPECTRUM_LENGTH = 2 + (TOP + 1) + 2 * HALF;
const POWER = 2;
const CROSS = POWER + TOP + 1;
/** Whole units of a window's total. */
const UNIT = 2 ** 24;

/** Lowest frequency counted into a window's total: below lies what any subsampling keeps. */
const FIRST = 6;
/** Power of a window, over that of rounding to whole codes, from which its detail is worth counting: 20 dB. */
const LEAST_DETAIL = 100;
/** Power of rounding errors (variance 1/12 each in the real and the imaginary part) over the counted frequencies; the window's squares sum to 24. */
const ROUNDING = 2 * (1 / 12) * 24 * 2 * (TOP - FIRST);

/** Adds windows of complex samples (two planes, or two rows of one, as real and imaginary part) to sums. */
export class SpectrumSums {
  readonly re = new Float64Array(WINDOW);
  readonly im = new Float64Array(WINDOW);
  readonly #power = new Float64Array(TOP + 1);
  readonly #seen = new Set<number>();

  constructor(readonly sums: Float64Array) {}

  newFrame(): void {
    this.#seen.clear();
  }

  /** Takes the samples in `re` and `im`, in codes; destroys them. */
  add(): void {
    const { re, im, sums } = this;
    windowedTransform(re, im);
    const power = this.#power;
    power.fill(0);
    let total = 0;
    for (let k = 1; k < WINDOW; k++) {
      const p = (re[k] ?? 0) ** 2 + (im[k] ?? 0) ** 2;
      const frequency = k <= TOP ? k : WINDOW - k;
      power[frequency] = (power[frequency] ?? 0) + p;
      if (frequency >= FIRST) total += p;
    }
    // Lines that repeat another one (bars, boxes, titles) are one piece of evidence, not many.
    const repeats = this.#seen.has(total);
    this.#seen.add(total);
    if (repeats || total < LEAST_DETAIL * ROUNDING) {
      sums[1] = (sums[1] ?? 0) + 1;
      return;
    }
    sums[0] = (sums[0] ?? 0) + 1;
    const unit = UNIT / total;
    for (let k = FIRST; k <= TOP; k++) {
      sums[POWER + k] = (sums[POWER + k] ?? 0) + Math.round((power[k] ?? 0) * unit);
    }
    for (let k = 1; k < HALF; k++) this.#addCross(k, unit);
  }

  /** X(k) times the conjugate of X(k - 32), and the conjugate of the same at -k: both pass the same filter. */
  #addCross(k: number, unit: number): void {
    const { re, im, sums } = this;
    const a = k;
    const b = k + TOP;
    const c = WINDOW - k;
    const d = TOP - k;
    const real =
      (re[a] ?? 0) * (re[b] ?? 0) +
      (im[a] ?? 0) * (im[b] ?? 0) +
      (re[c] ?? 0) * (re[d] ?? 0) +
      (im[c] ?? 0) * (im[d] ?? 0);
    const imaginary =
      (im[a] ?? 0) * (re[b] ?? 0) -
      (re[a] ?? 0) * (im[b] ?? 0) -
      (im[c] ?? 0) * (re[d] ?? 0) +
      (re[c] ?? 0) * (im[d] ?? 0);
    const at = CROSS + 2 * k;
    sums[at] = (sums[at] ?? 0) + Math.round(real * unit);
    sums[at + 1] = (sums[at + 1] ?? 0) + Math.round(imaginary * unit);
  }
}

/** What the sums say, averaged over windows. */
export interface Spectrum {
  readonly windows: number;
  /** Share of all windows that hold detail and so count. */
  readonly detail: number;
  /** Share of a window's power at k / 64 cycles a sample, k from 0 to 32 (0 below the sixth). */
  readonly power: Float64Array;
  /** How far the spectrum at 32 - k is an image of that at k, from 0 to 1: 1 where every second sample was made up from the others. k from 1 to 15. */
  readonly imaging: Float64Array;
}

export function readSpectrum(sums: Float64Array): Spectrum {
  const windows = sums[0] ?? 0;
  const power = Float64Array.from(
    { length: TOP + 1 },
    (_, k) => (sums[POWER + k] ?? 0) / (UNIT * Math.max(windows, 1)),
  );
  const imaging = Float64Array.from({ length: HALF }, (_, k) => {
    const re = (sums[CROSS + 2 * k] ?? 0) / (UNIT * Math.max(windows, 1));
    const im = (sums[CROSS + 2 * k + 1] ?? 0) / (UNIT * Math.max(windows, 1));
    const both = (power[k] ?? 0) * (power[TOP - k] ?? 0);
    return both > 0 ? (re * re + im * im) / both : 0;
  });
  return { windows, detail: windows / Math.max(windows + (sums[1] ?? 0), 1), power, imaging };
}
