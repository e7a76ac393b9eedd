import type { HdrStaticMetadata } from '../../../jobs/colour.js';
import type { Measurement } from '../../../jobs/measurement.js';
import { percentileBin } from './percentile.js';
import type { PicturePlan } from './picture-kernel.js';
import type { PictureTotals } from './picture-totals.js';

type Luminance = NonNullable<Measurement['luminance']>;
type Exposure = NonNullable<Measurement['exposure']>;

/** CTA-861.3 Annex A, as its transcriptions give it: MaxCLL and MaxFALL of max(R,G,B). Null for pictures without display light. */
export function luminanceFigures(
  plan: PicturePlan,
  totals: PictureTotals,
  hdr: HdrStaticMetadata,
): Luminance | null {
  const { light } = plan;
  if (light === null || light.kind === 'scene' || totals.light === null || totals.frames === 0) return null;
  const { lightMax, lightAverage, p3Area } = totals.columns;
  const maxCllFrame = indexOfMax(lightMax);
  const maxFallFrame = indexOfMax(lightAverage);
  const worst = indexOfMax(p3Area);
  const worstArea = p3Area[worst] ?? 0;
  const maxCll = lightMax[maxCllFrame] ?? 0;
  return {
    maxCll,
    maxCllFrame,
    maxFall: lightAverage[maxFallFrame] ?? 0,
    maxFallFrame,
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

const GREY = 0.18;
/** Stops under 18 % grey below which a camera's picture is mostly noise. Common practice, no source. */
const NOISE_FLOOR_STOPS = -6;
/** Width of the band of codes below the brightest, as a share of the scale, in which clipped pixels gather. */
const CLIP_BAND = 0.005;
/** Clipping heaps pixels up: this many times what the band below holds. */
const HEAP = 4;
/** A heap darker than this many stops over grey is a grey card, not a clipped sky. */
const LEAST_CLIP_STOPS = 2;

/**
 * Exposure of a camera log, from scene luminance.
 *
 * `clippedArea`: where the sensor's or the recording's limit lies is not in the file, so clipping is seen by its heap: the
 * pixels whose largest of R', G', B' lies in the 0.5 % of the scale under the brightest code found, if they are at least 4
 * times as many as in the equal band below. Pixels at the last code of the scale count in any case. Common practice, no source.
 */
export function exposureFigures(plan: PicturePlan, totals: PictureTotals): Exposure | null {
  const { light } = plan;
  if (light?.kind !== 'scene' || totals.light === null || totals.brightest === null) return null;
  const pixels = totals.frames * totals.pixelsPerFrame;
  if (pixels === 0) return null;
  const median = light.binReflectance[percentileBin(totals.light, 0.5)] ?? 0;
  const floor = GREY * 2 ** NOISE_FLOOR_STOPS;
  let dark = 0;
  totals.light.forEach((count, bin) => {
    if ((light.binReflectance[bin] ?? 0) < floor) dark += count;
  });
  return {
    medianStops: Math.log2(Math.max(median, light.binReflectance[1] ?? 0) / GREY),
    clippedArea: clippedPixels(totals.brightest, totals.light, light.binReflectance) / pixels,
    noiseFloorArea: dark / pixels,
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
