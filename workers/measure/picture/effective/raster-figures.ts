import { keepsDetail, mayScaleUp } from '../../../../jobs/codecs/codec-traits.js';
import type { MeasuredEffective } from '../../../../jobs/measurement/measured-effective.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import { decibels, halfBand, imageOf, mean } from './half-band.js';
import { repeatedShare } from './repeated-samples.js';
import { type RepeatName, repeatsAt, type SpectrumName, spectrumAt } from './spectrum-study.js';
import { readSpectrum, type Spectrum, TOP } from './spectrum-sums.js';

type Raster = MeasuredEffective['raster'];

/** Smaller upscaling is not detected: lenses and debayering soften as much. */
const MOST_SHARE = 1 / 1.3;
/** Decibels by which a spectrum falls at the edge left by upscaling, beyond its own slope. */
const EDGE = 9;
/**
 * Decibels by which genuine detail may fall from the middle of the band to its end; largest image by chance.
 */
const MOST_FALL = 6;
const NO_IMAGE = 0.05;
/**
 * Decibels by which the band below the edge must be above the end of the band.
 */
const WORTH = 15;
/**
 * Usual widths and heights; an estimate within 1 % of one is rounded to it (common practice, no source).
 */
const USUAL = [480, 576, 640, 720, 960, 1024, 1080, 1280, 1440, 1556, 1920, 2048, 2160, 2880, 3840, 4096];
const NEAR = 0.01;

/**
 * The raster a picture really uses, from the sums of spectrumStudy: its size before it was scaled up. Each
 * direction is judged separately. Nearest-neighbour upscaling is detected by repeated samples, for factors
 * from 1.11 to 2; upscaling by 4/3, 3/2 and 2 by its images, with any filter; by other factors from 1.3 on
 * only where the filter was sharp enough to leave an edge in the spectrum. The raster counts as used where
 * detail reaches the end of the band, which slightly soft pictures do not show: then the result is null.
 * Lines of interlaced pictures are not judged.
 *
 * @param codec ffmpeg's name.
 */
export function effectiveRaster(sums: Float64Array, plan: PicturePlan, codec: string): Raster {
  const { width, height } = plan.geometry;
  const judge = (name: SpectrumName, repeats: RepeatName): Filled =>
    filledShare(
      readSpectrum(spectrumAt(sums, name)),
      repeatedShare(repeatsAt(sums, repeats)),
      keepsDetail(codec),
    );
  const across = judge('lumaAcross', 'across');
  const down = plan.interlaced ? UNKNOWN : judge('lumaDown', 'down');
  // Words, or a thing with a pattern, may look made up one way where coding is coarse; what is scaled up
  // shows it both ways. Of what is slight in one way alone nothing is said, and what is clear is not sure.
  const told = [across, down].filter(({ share }) => share !== null);
  const oneWay = told.length === 1 && !plan.interlaced && !keepsDetail(codec);
  const known = oneWay ? told.filter(({ sure }) => sure) : told;
  // Whether it was scaled up, or coded so coarsely by wavelets, no picture shows.
  const byCoding = mayScaleUp(codec) && known.some(({ share }) => share !== 1);
  const size = (full: number, direction: Filled): number | null =>
    direction.share === null || !known.includes(direction) ? null : nearUsual(full, direction.share);
  return {
    width: size(width, across),
    height: size(height, down),
    confidence: known.length > 0 && !oneWay && !byCoding && known.every(({ sure }) => sure) ? 'high' : 'low',
  };
}

interface Filled {
  /** Fraction of the samples of a line that existed before scaling; 1: all; null: not known. */
  readonly share: number | null;
  readonly sure: boolean;
}
const UNKNOWN: Filled = { share: null, sure: false };

/** Scalings that leave images, with the fraction of samples that existed before. */
const SCALINGS = [
  { image: 'doubled', share: 1 / 2 },
  { image: 'threeOfTwo', share: 2 / 3 },
  { image: 'fourOfThree', share: 3 / 4 },
] as const;

/** @param repeated fraction of the samples that repeat the previous one; null: not clear */
function filledShare(spectrum: Spectrum, repeated: number | null, exact: boolean): Filled {
  if (repeated !== null && repeated > 0) return { share: 1 - repeated, sure: exact };
  const seen = SCALINGS.map(({ image, share }) => ({ share, image: imageOf(spectrum, image) }));
  if (seen.some(({ image }) => image === 'unknown')) return UNKNOWN;
  const clearest =
    seen.find(({ image }) => image === 'clear') ?? seen.find(({ image }) => image === 'slight');
  if (clearest !== undefined) return { share: clearest.share, sure: clearest.image === 'clear' };
  const edge = bandEdge(spectrum);
  // Coarse coding can cut the top of the band off as well.
  if (edge !== null) return { share: edge / TOP, sure: false };
  // Repeated samples keep detail up to the end of the band as well.
  const full = repeated === 0 && halfBand(spectrum, exact).samples === 'full' && reachesEnd(spectrum);
  return full ? { share: 1, sure: true } : UNKNOWN;
}

/** Whether detail reaches the end of the band: after upscaling by other factors it ends well before. */
function reachesEnd({ power, images }: Spectrum): boolean {
  const middle = decibels(mean(power, TOP / 2 - 4, TOP / 2));
  const end = decibels(mean(power, TOP - 8, TOP - 2));
  return middle - end < MOST_FALL && Object.values(images).every((image) => image < NO_IMAGE);
}

/** Where the spectrum ends, in 64ths of a cycle per sample; null where it does not. */
function bandEdge({ windows, power }: Spectrum): number | null {
  if (windows < 64) return null;
  const end = decibels(mean(power, TOP - 4, TOP - 1));
  let found: number | null = null;
  let steepest = EDGE;
  for (let k = 12; k <= Math.floor(MOST_SHARE * TOP) + 1; k++) {
    const before = decibels(mean(power, k - 6, k - 3));
    const below = decibels(mean(power, k - 3, k));
    const above = decibels(mean(power, k + 1, k + 4));
    // The spectrum of a soft picture falls ever faster: twice its own slope is not yet an edge.
    const fall = below - above - 2 * Math.max(before - below, 0);
    if (fall > steepest && below - end > WORTH) {
      steepest = fall;
      found = k;
    }
  }
  return found;
}

function nearUsual(size: number, share: number): number {
  const estimate = size * share;
  if (share === 1) return size;
  const near = USUAL.filter((usual) => Math.abs(usual - estimate) <= NEAR * estimate && usual < size);
  const [nearest] = near.sort((a, b) => Math.abs(a - estimate) - Math.abs(b - estimate));
  return nearest ?? Math.round(estimate);
}
