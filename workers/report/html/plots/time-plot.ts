import type { LineSeriesOption, ScatterSeriesOption } from 'echarts';
import { type Html, type HtmlPart, html, trusted } from '../markup.js';
import { typeset } from '../typeset.js';
import { type Axis, held, shareOf, valueAxis } from './axis.js';
import { markLine } from './mark-line.js';
import { LABEL_DISTANCE, type Pixel, placeLabels } from './place-labels.js';
import { CHART_WIDTH, drawSvg, INK, WIDE_WIDTH } from './svg.js';
import { type Keep, type Point, thin } from './thin.js';
import type { TimeAxis } from './time-axis.js';

/** A line is told from its neighbours by its stroke, not by its colour alone. */
export interface Stroke {
  readonly colour: string;
  readonly width: number;
  readonly dash?: readonly number[];
}

export interface Curve {
  readonly name: string;
  /** Point i holds from `i * step` to `(i + 1) * step` of the time axis. */
  readonly points: readonly Point[];
  readonly step: number;
  readonly keep: Keep;
  readonly stroke: Stroke;
}

export interface Limit {
  readonly at: number;
  /** Written at the line, and where there is less room. */
  readonly name: string;
  readonly short: string;
  /** The words stand below the line. */
  readonly below?: boolean;
  readonly colour: string;
}

export interface Spot {
  readonly at: number;
  readonly value: number;
}

export interface TimePlot {
  readonly title: string;
  readonly curves: readonly Curve[];
  readonly limits: readonly Limit[];
  /** Forbidden or wanted stretches of the value axis. */
  readonly bands: readonly { readonly from: number; readonly to: number; readonly colour: string }[];
  /** The worst place of the file, ringed. */
  readonly spot: Spot | null;
  readonly axis: Axis;
  /** For those who cannot see it: the figures that matter. */
  readonly label: string;
  readonly note: string;
}

interface Size {
  readonly width: number;
  readonly height: number;
  readonly left: number;
  readonly right: number;
  readonly points: number;
  readonly ticks: number;
}

/**
 * Sides of the drawings, the same for everything that runs along time, so that one place lies above the
 * other.
 */
export const MARGINS = { wide: { left: 64, right: 18 }, narrow: { left: 46, right: 12 } } as const;

/** More points than these cannot be told apart at the width. */
const WIDE: Size = { width: WIDE_WIDTH, height: 210, ...MARGINS.wide, points: 750, ticks: 8 };
const NARROW: Size = { width: CHART_WIDTH, height: 190, ...MARGINS.narrow, points: 250, ticks: 3 };
/** Up to here every point is drawn as the step it is: a short clip's frames do not slope into one another. */
const STEPS = 300;

/** One plot over time, drawn for a desk and for a phone; the page shows the one that fits. */
export function drawTimePlot(plot: TimePlot, time: TimeAxis): Html {
  return html`<figure class="plot"><figcaption><b>${plot.title}</b>${keys(plot.curves)}</figcaption>
${twoWidths(typeset(plot.label), draw(plot, time, WIDE), draw(plot, time, NARROW))}
<p class="note">${typeset(plot.note)}</p></figure>`;
}

/** Two drawings of one thing under one label. */
export function twoWidths(label: string, wide: string, narrow: string): Html {
  return html`<div role="img" aria-label="${label}"><div class="wide">${trusted(wide)}</div><div class="narrow">${trusted(narrow)}</div></div>`;
}

/** Which stroke is which curve: a line of text with a piece of each. */
export function keys(curves: readonly Pick<Curve, 'name' | 'stroke'>[]): HtmlPart {
  return html`<span class="keys">${curves.map(
    ({ name, stroke }) =>
      html`<span><svg width="26" height="8" aria-hidden="true" focusable="false"><path d="M0 4h26" fill="none" stroke="${stroke.colour}" stroke-width="${stroke.width}" stroke-dasharray="${(stroke.dash ?? []).join(' ')}"/></svg>${name}</span>`,
  )}</span>`;
}

/** Above and below the paper of a plot. */
const TOP = 14;
const BOTTOM = 26;

function draw(plot: TimePlot, time: TimeAxis, size: Size): string {
  const drawn = plot.curves.map((curve) => drawnCurve(curve, plot, time, size));
  const limits = limitLines(plot, drawn, time, size);
  return drawSvg(
    {
      grid: { left: size.left, right: size.right, top: TOP, bottom: BOTTOM },
      xAxis: timeAxis(time, size),
      yAxis: valueAxis(plot.axis, { line: false, grid: true }),
      series: [
        ...drawn.map((curve, index) =>
          line(curve, index === 0 ? { markLine: limits, markArea: bandAreas(plot) } : {}),
        ),
        ring(plot),
      ],
    },
    size.width,
    size.height,
  );
}

function timeAxis(time: TimeAxis, size: Size) {
  const ticks = time.ticks(size.ticks);
  const labels = new Map(ticks.map(({ at, label }) => [at, label]));
  const places = ticks.map(({ at }) => at);
  const label = (at: number): string => labels.get(at) ?? '';
  const axis = valueAxis({ min: 0, max: time.length, ticks: places, label }, { line: true, grid: false });
  return { ...axis, axisLabel: { ...axis.axisLabel, ...edges(places, time, size) } };
}

/** Half the width of a timecode label. */
const HALF_LABEL = 38;

/** Words at the ends of the axis are kept on the paper; all others stand under their place. */
function edges(at: readonly number[], time: TimeAxis, { width, left, right }: Size) {
  const x = (value: number): number => left + (value / time.length) * (width - left - right);
  const [first, last] = [at[0], at.at(-1)];
  return {
    ...(first !== undefined && x(first) < HALF_LABEL ? { alignMinLabel: 'left' as const } : {}),
    ...(last !== undefined && x(last) > width - HALF_LABEL ? { alignMaxLabel: 'right' as const } : {}),
  };
}

interface DrawnCurve {
  readonly stroke: Stroke;
  readonly asSteps: boolean;
  readonly data: readonly [number, Point][];
}

function drawnCurve(curve: Curve, plot: TimePlot, time: TimeAxis, size: Size): DrawnCurve {
  const { points, each } = thin(curve.points, size.points, curve.keep);
  return {
    stroke: curve.stroke,
    asSteps: points.length <= STEPS,
    data: placed(points, each * curve.step, time.length).map(([x, y]) => [
      x,
      y === null ? null : held(y, plot.axis),
    ]),
  };
}

function line(
  { stroke, asSteps, data }: DrawnCurve,
  marks: Pick<LineSeriesOption, 'markLine' | 'markArea'>,
): LineSeriesOption {
  return {
    type: 'line',
    silent: true,
    showSymbol: false,
    ...(asSteps ? { step: 'end' as const } : {}),
    lineStyle: {
      color: stroke.colour,
      width: stroke.width,
      type: stroke.dash ? [...stroke.dash] : 'solid',
    },
    data: [...data],
    ...marks,
    z: 3,
  };
}

/**
 * Points at the start of what they stand for; a run of them ends where its last one does, so that one alone
 * is seen.
 */
export function placed(points: readonly Point[], width: number, length: number): [number, Point][] {
  const data: [number, Point][] = [];
  points.forEach((point, index) => {
    const from = Math.min(index * width, length);
    const before = index === 0 ? null : (points[index - 1] ?? null);
    if (point === null && before !== null) data.push([from, before]);
    data.push([from, point]);
  });
  const last = points.at(-1) ?? null;
  if (last !== null) data.push([Math.min(points.length * width, length), last]);
  return data;
}

function limitLines(
  plot: TimePlot,
  drawn: readonly DrawnCurve[],
  time: TimeAxis,
  size: Size,
): LineSeriesOption['markLine'] {
  const isWide = size === WIDE;
  const fontSize = isWide ? 12 : 11;
  const paper = { left: size.left, right: size.width - size.right, top: TOP, bottom: size.height - BOTTOM };
  const x = (at: number): number => paper.left + (at / time.length) * (paper.right - paper.left);
  const y = (value: number): number =>
    paper.bottom - shareOf(held(value, plot.axis), plot.axis) * (paper.bottom - paper.top);
  const texts = plot.limits.map((limit) => (isWide ? limit.name : limit.short));
  const places = placeLabels(
    plot.limits.map(({ at, below = false }, index) => ({ y: y(at), text: texts[index] ?? '', below })),
    drawn.map(({ data }) =>
      data.map(([at, value]): Pixel => [x(at), value === null ? Number.NaN : y(value)]),
    ),
    paper,
    fontSize,
  );
  const marks = plot.limits.map(({ at, colour }, index) => ({
    at,
    name: texts[index] ?? '',
    colour,
    position: places[index] ?? ('insideEndTop' as const),
    distance: LABEL_DISTANCE,
  }));
  return markLine('yAxis', marks, fontSize);
}

function bandAreas(plot: TimePlot): LineSeriesOption['markArea'] {
  return {
    silent: true,
    data: plot.bands.map((band) => [
      { yAxis: band.from, itemStyle: { color: band.colour } },
      { yAxis: band.to },
    ]),
  };
}

function ring(plot: TimePlot): ScatterSeriesOption {
  const { spot } = plot;
  return {
    type: 'scatter',
    silent: true,
    z: 5,
    data: spot === null ? [] : [[spot.at, held(spot.value, plot.axis)]],
    symbol: 'circle',
    symbolSize: 11,
    itemStyle: { color: 'transparent', borderColor: INK, borderWidth: 2, opacity: 1 },
  };
}
