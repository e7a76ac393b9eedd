import type { HdrStaticMetadata } from '../../../../jobs/manifest/colour.js';
import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import { highestAllowedNits } from '../../../../signal/peak-limit.js';
import { type FrameClock, runsOf } from '../../figures/frame-ranges.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import type { PictureTotals } from '../recording/picture-totals.js';
import { exposureAdvice } from './exposure-advice.js';
import { percentileBin } from './percentile.js';

type Luminance = NonNullable<Measurement['luminance']>;
type Exposure = NonNullable<Measurement['exposure']>;

/**
 * CTA-861.3 Annex A, from transcriptions: MaxCLL and MaxFALL of max(R,G,B). Null for pictures
 * without display light.
 */
export function luminanceFigures(
  plan: PicturePlan,
  totals: PictureTotals,
  hdr: HdrStaticMetadata,
  where: { readonly clock: FrameClock; readonly activeShare: Float64Array | null },
): Luminance | null {
  const { light } = plan;
  if (light === null || light.kind === 'scene' || totals.light === null || totals.frames === 0) return null;
  const { lightMax, lightAverage, p3Area } = totals.columns;
  const maxCllFrame = indexOfMax(lightMax);
  const maxFallFrame = indexOfMax(lightAverage);
  const worst = indexOfMax(p3Area);
  const worstArea = p3Area[worst] ?? 0;
  const maxCll = lightMax[maxCllFrame] ?? 0;
  // Bars are black: what light there is comes from the active picture.
  const active = where.activeShare?.map((share, frame) =>
    share > 0 ? (lightAverage[frame] ?? 0) / share : 0,
  );
  const activeFrame = active ? indexOfMax(active) : 0;
  return {
    maxCll,
    maxCllFrame,
    maxFall: lightAverage[maxFallFrame] ?? 0,
    maxFallFrame,
    activeMaxFall: active ? { nits: active[activeFrame] ?? 0, frame: activeFrame } : null,
    overMastering: overMastering(lightMax, hdr.mastering?.maxLuminance ?? null, plan, where.clock),
    // A bin stands for its middle, which may lie above the one brightest pixel in it.
    p9999: Math.min(light.binNits[percentileBin(totals.light, 0.9999)] ?? 0, maxCll),
    displayPeak: light.kind === 'displayed' ? light.displayPeak : null,
    declared: {
      maxCll: hdr.lightLevel?.maxCll ?? null,
      maxFall: hdr.lightLevel?.maxFall ?? null,
      masteringMin: hdr.mastering?.minLuminance ?? null,
      masteringMax: hdr.mastering?.maxLuminance ?? null,
    },
    outsideP3: light.p3 ? { worstFrame: worstArea > 0 ? worst : null, worstArea } : null,
  };
}

/**
 * Frames over the declared peak of the mastering display. The peak counts as reached by the code nearest to
 * it: a master graded to exactly that peak is not over it by the rounding of its own codes.
 */
function overMastering(
  lightMax: Float64Array,
  peak: number | null,
  plan: PicturePlan,
  clock: FrameClock,
): Luminance['overMastering'] {
  if (peak === null) return null;
  const limit = plan.light?.kind === 'absolute' ? highestAllowedNits(peak, plan.layout.depth) : peak;
  const over = runsOf(lightMax.length, (frame) => (lightMax[frame] ?? 0) > limit);
  return {
    frames: over.reduce((sum, { from, to }) => sum + to - from, 0),
    ranges: over.map(({ from, to }) => clock.range(from, to)),
  };
}

const GREY = 0.18;
/** Stops under 18 % grey below which a camera picture is mostly noise. Common practice, no source. */
const NOISE_FLOOR_STOPS = -6;
/**
 * Width of the band of codes below the brightest, as a share of the scale, in which clipped pixels gather.
 */
const CLIP_BAND = 0.005;
/** Clipping accumulates pixels: at least this many times those in the band below. */
const HEAP = 4;
/** An accumulation less than this many stops over grey is a grey card, not a clipped sky. */
const LEAST_CLIP_STOPS = 2;

/**
 * Exposure of a camera log, from scene luminance at the pixels that have a sample of chroma to themselves.
 *
 * `clippedArea`: the clipping level of sensor or recording is not in the file, so clipping is detected as an
 * accumulation: the pixels whose largest of R', G', B' is in the 0.5 % of the scale under the brightest code
 * found, if they are at least 4 times as many as in the equal band below. Pixels at the last code of the
 * scale count in any case. Common practice, no source.
 */
export function exposureFigures(plan: PicturePlan, totals: PictureTotals): Exposure | null {
  const { light } = plan;
  if (light?.kind !== 'scene' || totals.light === null || totals.brightest === null) return null;
  const pixels = totals.light.reduce((sum, count) => sum + count, 0);
  if (pixels === 0) return null;
  const floor = GREY * 2 ** NOISE_FLOOR_STOPS;
  let dark = 0;
  totals.light.forEach((count, bin) => {
    if ((light.binReflectance[bin] ?? 0) < floor) dark += count;
  });
  const counts = totals.light;
  const stopsAt = (share: number): number =>
    Math.log2(
      Math.max(light.binReflectance[percentileBin(counts, share)] ?? 0, light.binReflectance[1] ?? 0) / GREY,
    );
  const shares = {
    medianStops: stopsAt(0.5),
    brightStops: stopsAt(0.99),
    clippedArea: clippedPixels(totals.brightest, totals.light, light.binReflectance) / pixels,
    noiseFloorArea: dark / pixels,
  };
  return {
    transfer: light.transfer,
    medianStops: shares.medianStops,
    percentileStops: { p1: stopsAt(0.01), p10: stopsAt(0.1), p90: stopsAt(0.9), p99: shares.brightStops },
    clippedArea: shares.clippedArea,
    noiseFloorArea: shares.noiseFloorArea,
    advice: exposureAdvice(shares),
  };
}

function clippedPixels(brightest: Float64Array, light: Float64Array, binReflectance: Float64Array): number {
  const top = brightest.length - 1;
  let last = top;
  while (last > 0 && (brightest[last] ?? 0) === 0) last--;
  const band = Math.max(1, Math.round(top * CLIP_BAND));
  const sum = (from: number, to: number): number => {
    let total = 0;
    for (let code = Math.max(from, 0); code < to; code++) total += brightest[code] ?? 0;
    return total;
  };
  const heap = sum(last + 1 - band, last + 1);
  const below = sum(last + 1 - 2 * band, last + 1 - band);
  const brightestLight = binReflectance[percentileBin(light, 1)] ?? 0;
  const isBright = brightestLight >= GREY * 2 ** LEAST_CLIP_STOPS;
  if (isBright && heap >= HEAP * Math.max(below, 1)) return heap;
  return last === top ? (brightest[top] ?? 0) : 0;
}

function indexOfMax(values: Float64Array): number {
  let at = 0;
  values.forEach((value, i) => {
    if (value > (values[at] ?? 0)) at = i;
  });
  return at;
}
