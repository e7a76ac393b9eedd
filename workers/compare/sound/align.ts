import { transform } from './fft.js';

/** How one channel of a copy lies against one of its original. */
export interface Alignment {
  /** Samples by which the copy is late; negative: early. */
  readonly lag: number;
  /** Correlation there, -1 to 1; negative where the polarity is opposite. */
  readonly correlation: number;
  /** RMS of the copy to that of the original. Detail that a coder drops costs it less than the slope. */
  readonly gain: number;
  /** No other lag fits as well: a steady tone fits itself every period. */
  readonly isOnly: boolean;
}

/** Another lag that fits this well, apart from its neighbours, leaves the lag unknown. */
const AS_GOOD = 0.97;
const NEIGHBOURS = 16;
/** Mean square below which a channel is silent: -80 dBFS. */
const SILENT = 1e-8;

/**
 * Finds by how many samples a channel of the copy is late, by cross-correlation.
 *
 * @param original and `copy` are of one sample rate and as long as each other
 * @param most samples that are looked at either way
 * @returns null where one of them is silent
 */
export function align(original: Float32Array, copy: Float32Array, most: number): Alignment | null {
  const [originalPower, copyPower] = [power(original), power(copy)];
  const samples = original.length;
  if (originalPower < SILENT * samples || copyPower < SILENT * samples) return null;
  const correlation = correlate(original, copy);
  const at = (lag: number): number => correlation[lag < 0 ? correlation.length + lag : lag] ?? 0;
  const reach = Math.min(most, samples - 1);
  let best = 0;
  // Of lags that fit alike the nearest.
  for (let distance = 0; distance <= reach; distance++) {
    if (Math.abs(at(distance)) > Math.abs(at(best)) * (1 + 1e-6)) best = distance;
    if (Math.abs(at(-distance)) > Math.abs(at(best)) * (1 + 1e-6)) best = -distance;
  }
  let rival = 0;
  for (let lag = -reach; lag <= reach; lag++) {
    if (Math.abs(lag - best) > NEIGHBOURS) rival = Math.max(rival, Math.abs(at(lag)));
  }
  const peak = at(best);
  return {
    lag: best,
    correlation: peak / Math.sqrt(overlapPower(original, copy, best)),
    gain: Math.sqrt(copyPower / originalPower),
    isOnly: rival < AS_GOOD * Math.abs(peak),
  };
}

/** Share of a stretch that both must have at a lag to be judged by that part alone. */
const LEAST_OVERLAP = 0.25;

/**
 * Powers of both multiplied, of the part that they share at a lag: what a late copy begins with and an
 * original ends with has no partner there. Of a short part that fits by chance all of both counts.
 */
function overlapPower(original: Float32Array, copy: Float32Array, lag: number): number {
  const shared = original.length - Math.abs(lag);
  if (shared < LEAST_OVERLAP * original.length) return power(original) * power(copy);
  const [from, at] = [Math.max(0, -lag), Math.max(0, lag)];
  return power(original.subarray(from, from + shared)) * power(copy.subarray(at, at + shared));
}

/** Sum of squares. */
export function power(samples: Float32Array): number {
  let sum = 0;
  for (const sample of samples) sum += sample * sample;
  return sum;
}

/**
 * Entry `lag` is the sum of original[i] copy[i + lag]; negative lags stand at the end. Both are real, so that
 * one transform takes the two, as the real and the imaginary part: their spectra are its even and odd halves.
 */
function correlate(original: Float32Array, copy: Float32Array): Float64Array {
  const size = 2 ** Math.ceil(Math.log2(2 * original.length));
  const [re, im] = [new Float64Array(size), new Float64Array(size)];
  re.set(original);
  im.set(copy);
  transform(re, im, false);
  for (let i = 0; i <= size / 2; i++) {
    const j = (size - i) % size;
    const [a, b, c, d] = [re[i] ?? 0, im[i] ?? 0, re[j] ?? 0, im[j] ?? 0];
    // Spectrum of the original (oRe, oIm), and of the copy.
    const oRe = (a + c) / 2;
    const oIm = (b - d) / 2;
    const cRe = (b + d) / 2;
    const cIm = (c - a) / 2;
    // The conjugate of the original times the copy; its other half is the conjugate of this one.
    re[i] = re[j] = oRe * cRe + oIm * cIm;
    im[i] = oRe * cIm - oIm * cRe;
    im[j] = -(im[i] ?? 0);
  }
  transform(re, im, true);
  return re;
}
