import { isExactPicture } from '../../../../jobs/codecs/codec-traits.js';
import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import { codeComb, hasCombTrace } from './code-comb.js';

type EffectiveDepth = NonNullable<Measurement['video']>['bitDepth'];

/** Samples that may lie off the grid, for a title or a logo put over the picture. */
const ON_GRID_SHARE = 0.99;
/** Distinct codes a picture must show before its tone says anything. */
const LEAST_TONES = 24;
/** Of the codes between the 5th and 95th percentile, the share that must occur for the low bits to be in use. */
const FILLED_SHARE = 0.75;

/**
 * Depths a picture may have come from, as grids of the declared depth: every code of the shallower depth, moved up by
 * zeros (`shifted`, how narrow range is widened) or with its top bits repeated below (`replicated`, how full range is).
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
 * A picture on the grid of a shallower depth is of that depth, whatever the codec; so is one whose codes form an even comb, as a shallower picture that
 * was gained or graded does. The reverse holds only where coding is lossless and the codes are filled without holes: lossy coding smears an
 * 8-bit picture over all codes, so there a full histogram proves nothing and the answer is null. It is null too where a comb was filled in
 * part. Known limit: dither or grain as strong as the lost bits fills all codes evenly, and nothing in the samples tells it from tone.
 *
 * @param planes samples by code, each of 2^declared codes.
 */
export function effectiveDepth(
  planes: readonly Float64Array[],
  declared: number,
  codec: string,
): EffectiveDepth {
  if (declared <= 8) return { declared, effective: declared, confidence: 'high' };
  const total = planes.reduce((sum, plane) => sum + plane.reduce((a, b) => a + b, 0), 0);
  const tones = Math.min(...planes.map((plane) => plane.reduce((n, count) => n + (count > 0 ? 1 : 0), 0)));
  if (total === 0 || planes.length === 0) return { declared, effective: null, confidence: 'low' };

  for (const depth of gridDepths(declared)) {
    for (const how of ['shifted', 'replicated'] as const) {
      let held = 0;
      for (const plane of planes) {
        plane.forEach((count, code) => {
          if (count > 0 && onGrid(code, declared, depth, how)) held += count;
        });
      }
      if (held / total >= ON_GRID_SHARE) {
        // A flat or two-tone picture lies on any grid by chance.
        const enough = tones >= LEAST_TONES;
        return { declared, effective: enough ? depth : null, confidence: enough ? 'high' : 'low' };
      }
    }
  }
  const lossless = isExactPicture(codec);
  const combed = depthOfCombs(planes, declared);
  if (combed !== null && combed.depth < declared) {
    const sure = combed.usual && lossless;
    return { declared, effective: combed.depth, confidence: sure ? 'high' : 'low' };
  }
  if (!lossless) return { declared, effective: null, confidence: 'low' };
  const traced = planes.some((plane) => hasCombTrace(plane, longestPeriod(declared)));
  const filled = !traced && planes.every((plane) => isFilled(plane));
  return { declared, effective: filled ? declared : null, confidence: filled ? 'high' : 'low' };
}

/** How near the bits of a comb must come to a depth that pictures have, to be sure of it: gains from about 0.8 to 1.25. */
const NEAR_DEPTH = 0.36;

/** The depth whose levels lie as far apart as those of the combs, where every plane has one. */
function depthOfCombs(
  planes: readonly Float64Array[],
  declared: number,
): { readonly depth: number; readonly usual: boolean } | null {
  const combs = planes.map((plane) => codeComb(plane)).filter((comb) => comb !== null);
  if (combs.length < planes.length) return null;
  const bits = declared - Math.log2(Math.min(...combs.map(({ spacing }) => spacing)));
  const usual =
    bits < 8 || [8, 10, 12].some((depth) => depth < declared && Math.abs(bits - depth) <= NEAR_DEPTH);
  return { depth: Math.max(Math.round(bits), 8), usual };
}

/** Codes between the levels of 8 bits at the declared depth, gained by up to 1.6. */
function longestPeriod(declared: number): number {
  return 1.6 * 2 ** (declared - 8);
}

/** Codes between the 5th and 95th percentile nearly all occur: the low bits carry tone. */
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
