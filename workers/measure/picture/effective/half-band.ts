import type { Spectrum } from './spectrum-sums.js';
import { TOP } from './spectrum-sums.js';

/**
 * Whether the samples of a line carry detail of their own or were made up from half as many. Two things tell:
 *
 * - Imaging. Whatever filter doubles the samples of a line, the spectrum above half the band is an image of the spectrum below: the two keep one
 *   ratio from place to place. In a picture with samples of its own they have nothing to do with each other.
 * - Detail above half the band that goes on from the detail below, and goes on falling: grain and rounding would stay level.
 */
export interface HalfBand {
  /** `full`: samples of their own; `halved`: made up; null: too little detail, or grain covers it. */
  readonly samples: 'full' | 'halved' | null;
  readonly confidence: 'high' | 'low';
}

/** Windows with detail, and their share of all, before anything is said (common practice, no source; as are all limits here). */
const LEAST_WINDOWS = 64;
const LEAST_DETAIL = 0.02;
/** Mean imaging near half the band: by chance it is 1 / windows. */
const IMAGE = 0.3;
const SLIGHT_IMAGE = 0.12;
const NO_IMAGE = 0.05;
/** Decibels from just below half the band to just above it that detail of its own may fall. */
const MOST_FALL = 6;
/** Decibels by which it must lie above the end of the band, where grain and rounding are. */
const LEAST_ABOVE_GRAIN = 1;

export function halfBand({ windows, detail, power, imaging }: Spectrum): HalfBand {
  const unknown: HalfBand = { samples: null, confidence: 'low' };
  if (windows < LEAST_WINDOWS || detail < LEAST_DETAIL) return unknown;
  const image = mean(imaging, 11, 16);
  if (image > IMAGE) return { samples: 'halved', confidence: 'high' };
  if (image > SLIGHT_IMAGE) return { samples: 'halved', confidence: 'low' };
  const below = decibels(mean(power, TOP / 2 - 4, TOP / 2));
  const above = decibels(mean(power, TOP / 2 + 1, TOP / 2 + 5));
  const end = decibels(mean(power, TOP - 8, TOP - 2));
  const goesOn = below - above < MOST_FALL && above - end > LEAST_ABOVE_GRAIN;
  return image < NO_IMAGE && goesOn ? { samples: 'full', confidence: 'high' } : unknown;
}

export function decibels(power: number): number {
  return 10 * Math.log10(Math.max(power, 1e-12));
}

/** Mean of entries [from, to). */
export function mean(values: Float64Array, from: number, to: number): number {
  let sum = 0;
  for (let i = from; i < to; i++) sum += values[i] ?? 0;
  return sum / (to - from);
}
