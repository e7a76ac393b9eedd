import { isExactPicture } from '../../../../jobs/codecs/codec-traits.js';
import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import { codeComb, hasCombTrace } from './code-comb.js';

type EffectiveDepth = NonNullable<Measurement['video']>['bitDepth'];

/**
 * Fraction of the tones on a shallower grid from which the picture has that depth; the rest is a title or a
 * logo.
 */
const ON_GRID_SHARE = 0.99;
/**
 * From this fraction on most of it has that depth: a histogram cannot show whether the rest matters.
 */
const MOSTLY_ON_GRID = 0.9;
/**
 * Up to this fraction a picture of the declared depth may be on a grid: one code in four by chance, and a few
 * flat areas.
 */
const BY_CHANCE = 0.5;
/**
 * A code with a larger fraction of the samples is a flat area, not tone: bars, black, a card.
 */
const FLAT_SHARE = 0.05;
/** Least number of samples outside flat areas. */
const LEAST_SAMPLES = 1_000;
/** Least number of distinct codes. */
const LEAST_TONES = 24;
/**
 * Of the codes between the 5th and 95th percentile, the share that must occur for the low bits to be in use.
 */
const FILLED_SHARE = 0.75;

/**
 * Depths a picture may originally have had, as grids of the declared depth: every code of the shallower
 * depth, moved up by zeros (`shifted`, how narrow range is widened) or with its top bits repeated below
 * (`replicated`, how full range is).
 */
function gridDepths(declared: number): readonly number[] {
  return [8, 10, 12].filter((depth) => depth < declared);
}

function onGrid(code: number, declared: number, depth: number, how: 'shifted' | 'replicated'): boolean {
  const lost = declared - depth;
  const high = code >> lost;
  if (how === 'shifted') return code === high << lost;
  let wide = high;
  let bits = depth;
  while (bits < declared) {
    wide = (wide << depth) | high;
    bits += depth;
  }
  return code === wide >> (bits - declared);
}

/**
 * The depth a picture really uses, from the codes that occur in its luma (for RGB: in each channel).
 *
 * A picture whose tones are on the grid of a shallower depth has that depth, whatever the codec; what counts
 * is how many samples are off the grid, not whether any are. So has one whose codes form a regular comb, as a
 * shallower picture that was amplified or graded does. The full depth is only certain where coding is
 * lossless and the codes are filled without holes: lossy coding spreads an 8-bit picture over all codes, so a
 * full histogram proves nothing there and the result is null. It is null too where a comb was partly filled.
 * Known limit: dither or grain as strong as the lost bits fills all codes evenly and cannot be distinguished
 * from tone.
 *
 * @param counts samples by code of each plane, 2^declared codes each.
 */
export function effectiveDepth(
  counts: readonly Float64Array[],
  declared: number,
  codec: string,
): EffectiveDepth {
  if (declared <= 8) return { declared, effective: declared, confidence: 'high' };
  const planes = counts.map(withoutFlatAreas);
  const tones = Math.min(...planes.map((plane) => plane.reduce((n, count) => n + (count > 0 ? 1 : 0), 0)));
  if (planes.length === 0 || tones === 0) return { declared, effective: null, confidence: 'low' };

  const grid = fullestGrid(planes, declared);
  if (grid !== null && grid.share >= MOSTLY_ON_GRID) {
    // A flat or two-tone picture is on any grid by chance.
    const enough = tones >= LEAST_TONES && grid.samples >= LEAST_SAMPLES;
    const sure = enough && grid.share >= ON_GRID_SHARE;
    return { declared, effective: enough ? grid.depth : null, confidence: sure ? 'high' : 'low' };
  }
  const lossless = isExactPicture(codec);
  const combed = depthOfCombs(planes, declared);
  if (combed !== null && combed.depth < declared) {
    const sure = combed.usual && lossless;
    return { declared, effective: combed.depth, confidence: sure ? 'high' : 'low' };
  }
  if (!lossless) return { declared, effective: null, confidence: 'low' };
  const traced = planes.some((plane) => hasCombTrace(plane, longestPeriod(declared)));
  const filled =
    !traced && (grid === null || grid.share <= BY_CHANCE) && planes.every((plane) => isFilled(plane));
  return { declared, effective: filled ? declared : null, confidence: filled ? 'high' : 'low' };
}

interface Grid {
  readonly depth: number;
  /** Fraction of the tones on it. */
  readonly share: number;
  /** Samples of tone, on it or not. */
  readonly samples: number;
}

function withoutFlatAreas(plane: Float64Array): Float64Array {
  const flat = FLAT_SHARE * plane.reduce((a, b) => a + b, 0);
  return plane.map((count) => (count > flat ? 0 : count));
}

/** The grid that holds most of the tone, the shallowest of equals; null where there is no tone. */
function fullestGrid(tone: readonly Float64Array[], declared: number): Grid | null {
  const samples = tone.reduce((sum, plane) => sum + plane.reduce((a, b) => a + b, 0), 0);
  if (samples === 0) return null;
  let fullest: Grid | null = null;
  for (const depth of gridDepths(declared)) {
    for (const how of ['shifted', 'replicated'] as const) {
      let held = 0;
      for (const plane of tone) {
        plane.forEach((count, code) => {
          if (count > 0 && onGrid(code, declared, depth, how)) held += count;
        });
      }
      const share = held / samples;
      if (fullest === null || share > fullest.share) fullest = { depth, share, samples };
    }
  }
  return fullest;
}

/**
 * How near the bits of a comb must be to a usual depth for high confidence: gains from about 0.8 to 1.25.
 */
const NEAR_DEPTH = 0.36;

/** The depth whose levels have the distance of those of the combs, where every plane has one. */
function depthOfCombs(
  planes: readonly Float64Array[],
  declared: number,
): { readonly depth: number; readonly usual: boolean } | null {
  const combs = planes.map((plane) => codeComb(plane)).filter((comb) => comb !== null);
  if (combs.length < planes.length) return null;
  const bits = declared - Math.log2(Math.min(...combs.map(({ spacing }) => spacing)));
  const usual =
    bits < 8 || [8, 10, 12].some((depth) => depth < declared && Math.abs(bits - depth) <= NEAR_DEPTH);
  // Where one part of the tones is combed and another is not, their mean distance is that of neither.
  const whole = combs.every(({ filled }) => filled <= 1 - MOSTLY_ON_GRID);
  return { depth: Math.max(Math.round(bits), 8), usual: usual && whole };
}

/** Distance of 8-bit levels at the declared depth, with a gain of up to 1.6. */
function longestPeriod(declared: number): number {
  return 1.6 * 2 ** (declared - 8);
}

/** Whether nearly all codes between the 5th and 95th percentile occur: then the low bits carry tone. */
function isFilled(plane: Float64Array): boolean {
  const total = plane.reduce((a, b) => a + b, 0);
  let sum = 0;
  let span = 0;
  let used = 0;
  for (const count of plane) {
    sum += count;
    if (sum < total * 0.05) continue;
    span++;
    if (count > 0) used++;
    if (sum > total * 0.95) break;
  }
  return span >= LEAST_TONES && used / span >= FILLED_SHARE;
}
