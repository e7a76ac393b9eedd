import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import { lumaLevels, maxCode } from '../../../../signal/quantise.js';
import { type FrameClock, runsOf } from '../../figures/frame-ranges.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import { isReserved } from '../plan/signal-limits.js';
import type { PictureTotals } from '../recording/picture-totals.js';
import { percentileBin } from './percentile.js';
import { rangeOfTone } from './range-evidence.js';

type Levels = NonNullable<Measurement['levels']>;
type Extremes = NonNullable<Levels['luma']>;

/** EBU R 103 v3.0: out-of-gamut counts only from 1 % of the image on. */
const R103_AREA = 0.01;

/**
 * Null when no frame was measured. `rgb` and the gamut figures need a known matrix; without one the area of
 * `gamutError` is 0, and the caller gives the reason.
 */
export function levelFigures(plan: PicturePlan, totals: PictureTotals, clock: FrameClock): Levels | null {
  if (totals.frames === 0) return null;
  const { lumaMin, lumaMax, rgbMin, rgbMax, gamutArea } = totals.columns;
  const hasRgb = plan.meaning.matrix !== null;
  return {
    luma: plan.layout.model === 'rgb' ? null : extremes(plan, lumaMin, lumaMax),
    rgb: hasRgb && plan.layout.model !== 'grey' ? extremes(plan, rgbMin, rgbMax) : null,
    gamutError: gamutFigures(gamutArea, totals.frames, clock),
    percentiles: percentileCodes(plan, totals),
    reservedCodes: reservedFigures(plan, totals),
    looksFullRange: looksFullRange(plan, totals),
  };
}

function percentileCodes(plan: PicturePlan, totals: PictureTotals): Levels['percentiles'] {
  const isRgb = plan.layout.model === 'rgb';
  const counts = (isRgb ? totals.rgb?.green : totals.luma) ?? new Float64Array(0);
  const first = isRgb ? (totals.rgb?.firstCode ?? 0) : 0;
  const code = (share: number): number => first + percentileBin(counts, share);
  return { p01: code(0.001), p1: code(0.01), p50: code(0.5), p99: code(0.99), p999: code(0.999) };
}

function extremes(plan: PicturePlan, mins: Float64Array, maxs: Float64Array): Extremes {
  const { black, white } = lumaLevels(plan.layout.depth, plan.meaning.range);
  const percent = (code: number): number => (100 * (code - black)) / (white - black);
  const min = mins.reduce((a, b) => Math.min(a, b));
  const max = maxs.reduce((a, b) => Math.max(a, b));
  return { min, max, percentMin: percent(min), percentMax: percent(max) };
}

function gamutFigures(areas: Float64Array, frames: number, clock: FrameClock): Levels['gamutError'] {
  let worstFrame: number | null = null;
  let worstArea = 0;
  let framesOver = 0;
  areas.forEach((area, frame) => {
    if (area > R103_AREA) framesOver++;
    if (area > worstArea) {
      worstArea = area;
      worstFrame = frame;
    }
  });
  const ranges = runsOf(frames, (frame) => (areas[frame] ?? 0) > R103_AREA);
  return { worstFrame, worstArea, framesOver, ranges: ranges.map(({ from, to }) => clock.range(from, to)) };
}

/** Counted in the stored samples: SDI reserves codes in every word, chroma too. */
function reservedFigures(plan: PicturePlan, totals: PictureTotals): Levels['reservedCodes'] {
  const { depth } = plan.layout;
  const planes =
    plan.layout.model === 'rgb' && totals.rgb
      ? [totals.rgb.red, totals.rgb.green, totals.rgb.blue]
      : [totals.luma, totals.cb, totals.cr];
  const first = plan.layout.model === 'rgb' ? (totals.rgb?.firstCode ?? 0) : 0;
  let samples = 0;
  for (const plane of planes) {
    plane?.forEach((count, bin) => {
      const code = bin + first;
      if (count > 0 && code >= 0 && isReserved(code, depth)) samples += count;
    });
  }
  const firstFrame = totals.columns.reserved.indexOf(1);
  return { samples, firstFrame: firstFrame < 0 ? null : firstFrame };
}

/**
 * Whether the codes look like full range, by luma or by R', G' and B' together; null where that is not clear.
 */
function looksFullRange(plan: PicturePlan, totals: PictureTotals): boolean | null {
  const { depth } = plan.layout;
  const planes = totals.luma ? [totals.luma] : totals.rgb ? Object.values(totals.rgb).filter(isCounts) : [];
  const first = totals.luma ? 0 : (totals.rgb?.firstCode ?? 0);
  const counts = new Float64Array(maxCode(depth) + 1);
  for (const plane of planes) {
    for (let code = 0; code < counts.length; code++)
      counts[code] = (counts[code] ?? 0) + (plane[code - first] ?? 0);
  }
  const range = rangeOfTone(counts, depth);
  return range === null ? null : range === 'full';
}

function isCounts(value: unknown): value is Float64Array {
  return value instanceof Float64Array;
}
