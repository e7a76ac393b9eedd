import { MOST_POINTS, type PictureCurves } from '../../../../jobs/measurement/measured-curves.js';
import { lumaLevels } from '../../../../signal/quantise.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import type { PictureTotals } from '../recording/picture-totals.js';

type Reduce = (values: readonly number[]) => number;
const highest: Reduce = (values) => Math.max(...values);
const lowest: Reduce = (values) => Math.min(...values);
const mean: Reduce = (values) => values.reduce((a, b) => a + b, 0) / values.length;

/**
 * Reduces a column to one point per `framesPerPoint` frames; null where no frame of a point has the figure.
 */
export function thinOut(column: Float64Array, framesPerPoint: number, reduce: Reduce): (number | null)[] {
  return Array.from({ length: Math.ceil(column.length / framesPerPoint) }, (_, i) => {
    const frames = column.subarray(i * framesPerPoint, (i + 1) * framesPerPoint);
    const known = [...frames].filter((value) => !Number.isNaN(value));
    return known.length === 0 ? null : reduce(known);
  });
}

/** Picture figures over time; null when there is no picture. */
export function pictureCurves(plan: PicturePlan, totals: PictureTotals): PictureCurves | null {
  if (totals.frames === 0) return null;
  const { columns } = totals;
  const step = Math.ceil(totals.frames / MOST_POINTS);
  const { black, white } = lumaLevels(plan.layout.depth, plan.meaning.range);
  const percent = (column: Float64Array): Float64Array =>
    column.map((code) => ((code - black) / (white - black)) * 100);
  const isRgb = plan.layout.model === 'rgb';
  const lit = plan.light !== null && plan.light.kind !== 'scene';
  return {
    framesPerPoint: step,
    levelMin: thinOut(percent(isRgb ? columns.rgbMin : columns.lumaMin), step, lowest),
    levelMax: thinOut(percent(isRgb ? columns.rgbMax : columns.lumaMax), step, highest),
    gamutArea: thinOut(columns.gamutArea, step, highest),
    light: lit
      ? {
          max: thinOut(columns.lightMax, step, highest),
          p9999: thinOut(columns.lightP9999, step, highest),
          average: thinOut(columns.lightAverage, step, mean),
        }
      : null,
  };
}
