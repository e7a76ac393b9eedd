import { type ImageName, type Spectrum, TOP } from './spectrum-sums.js';

/**
 * Whether the samples of a line carry detail of their own or were made up from fewer. Two things tell:
 *
 * - Images. Whatever filter makes samples up, the spectrum it leaves holds images of itself: two parts of it
 *   keep one ratio from place to place. In a picture with samples of its own they have nothing to do with
 *   each other.
 * - Detail above half the band that goes on from the detail below, and goes on falling: grain and rounding
 *   would stay level.
 */
export interface HalfBand {
  /**
   * `full`: genuine samples; `halved`: interpolated from half as many; null: too little detail, or hidden by
   * grain.
   */
  readonly samples: 'full' | 'halved' | null;
  readonly confidence: 'high' | 'low';
}

/**
 * Least number of windows with detail, and least fraction of all (common practice, no source; like all limits
 * here).
 */
const LEAST_WINDOWS = 64;
const LEAST_DETAIL = 0.02;
/** Mean strength of images; by chance it is 1 / windows. */
const IMAGE = 0.3;
const SLIGHT_IMAGE = 0.12;
const NO_IMAGE = 0.05;
export type Scaling = 'doubled' | 'threeOfTwo' | 'fourOfThree';
/**
 * Strongly compressed pictures have images too, of the grid of coding blocks. But these relate other
 * frequencies nearly as strongly, which scaling does not; beyond these fractions of its image nothing is
 * known. (Set with pictures of known origin, coded by six codecs from lightly to heavily.) The image of a 4/3
 * scaling is where blocks are strongest.
 */
const BLOCKS: Readonly<
  Record<Scaling, { readonly at: readonly ImageName[]; readonly clear: number; readonly slight: number }>
> = {
  doubled: { at: ['blocksOf8', 'blocksOf4'], clear: 0.5, slight: 0.7 },
  threeOfTwo: { at: ['blocksOf8', 'blocksOf4'], clear: 0.5, slight: 0.7 },
  fourOfThree: { at: ['blocksOf8', 'blocksOf8Far', 'doubled'], clear: 0.2, slight: 0.2 },
};
/** Decibels by which genuine detail may fall from just below half the band to just above it. */
const MOST_FALL = 6;
/** Decibels by which it must be above the end of the band, where grain and rounding are. */
const LEAST_ABOVE_GRAIN = 1;

/**
 * @param exact whether coding preserves detail near the top of the band. Errors of strong compression look
 * like detail there, so otherwise the result is never `full`, and only a clear image counts.
 */
export function halfBand(spectrum: Spectrum, exact: boolean): HalfBand {
  const image = imageOf(spectrum, 'doubled');
  if (image === 'unknown') return { samples: null, confidence: 'low' };
  if (image === 'clear') return { samples: 'halved', confidence: 'high' };
  if (image === 'slight') return { samples: exact ? 'halved' : null, confidence: 'low' };
  const own = exact && spectrum.images.doubled < NO_IMAGE && continuesUp(spectrum);
  return own ? { samples: 'full', confidence: 'high' } : { samples: null, confidence: 'low' };
}

/**
 * How clear an image is; `unknown` where there is too little detail or coding blocks cause images.
 */
export function imageOf(
  { windows, detail, images }: Spectrum,
  scaling: Scaling,
): 'clear' | 'slight' | 'none' | 'unknown' {
  if (windows < LEAST_WINDOWS || detail < LEAST_DETAIL) return 'unknown';
  const image = images[scaling];
  if (image <= SLIGHT_IMAGE) return 'none';
  const { at, clear, slight } = BLOCKS[scaling];
  const blocks = Math.max(...at.map((name) => images[name])) / image;
  if (blocks > slight) return 'unknown';
  return image > IMAGE && blocks <= clear ? 'clear' : 'slight';
}

function continuesUp({ power }: Spectrum): boolean {
  const below = decibels(mean(power, TOP / 2 - 4, TOP / 2));
  const above = decibels(mean(power, TOP / 2 + 1, TOP / 2 + 5));
  const end = decibels(mean(power, TOP - 8, TOP - 2));
  return below - above < MOST_FALL && above - end > LEAST_ABOVE_GRAIN;
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
