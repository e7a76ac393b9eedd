import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import { signed } from '../../../../jobs/words/numbers.js';
import { lumaLevels } from '../../../../signal/quantise.js';
import { histogramScales } from './histogram-scale.js';
import { STROKES } from './plot-limits.js';
import { SOFT } from './svg.js';
import type { Point } from './thin.js';
import type { TimePlot } from './time-plot.js';

/**
 * Exposure of a camera log clip over time: the least and the greatest luma of the frames, as stops from 18 %
 * grey of a grey of that level, by the curve it was read by. Null for any other picture.
 */
export function stopsPlot(measured: Measurement): TimePlot | null {
  const { curves, exposure, levels, video } = measured;
  const scale = histogramScales(measured, []).find(({ id }) => id === 'stops');
  const picture = curves.picture;
  if (scale === undefined || picture === null || exposure === null || video === null) return null;
  // The curves of levels are in percent of narrow range, whatever the range of the file.
  const { black, white } = lumaLevels(video.bitDepth.declared, 'narrow');
  const stops = (percent: Point): Point =>
    percent === null ? null : scale.place(black + (percent / 100) * (white - black));
  const [lowest, highest] = [picture.levelMin.map(stops), picture.levelMax.map(stops)];
  const known = highest.filter((value) => value !== null);
  if (known.length === 0) return null;
  const step = picture.framesPerPoint;
  const { medianStops } = exposure;
  const most = Math.max(...known);
  const what = levels?.luma === null ? "R'G'B'" : 'luma';
  return {
    title: 'Exposure, stops from 18 % grey',
    curves: [
      { name: `highest ${what}`, points: highest, step, keep: 'highest', stroke: STROKES.first },
      { name: `lowest ${what}`, points: lowest, step, keep: 'lowest', stroke: STROKES.lower },
    ],
    limits: [
      {
        at: medianStops,
        name: `median of the clip ${signed(medianStops, 1)}`,
        short: `median ${signed(medianStops, 1)}`,
        colour: SOFT,
      },
    ],
    bands: [],
    spot: null,
    axis: { min: scale.min, max: scale.max, interval: 2, label: (value) => signed(value, 0) },
    label: `Exposure over time: highest ${signed(most, 1)} stops from 18 percent grey, median ${signed(medianStops, 1)}`,
    note: `By the curve ${exposure.transfer}, for a grey of that level; saturated colours lie higher in one channel. Stops of ${scale.min} and darker are drawn at the foot.`,
  };
}
