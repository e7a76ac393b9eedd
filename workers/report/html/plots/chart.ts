import type { CustomSeriesOption, ScatterSeriesOption } from 'echarts';
import { type Html, html, trusted, visibleText } from '../markup.js';
import { STOREY, storeysOf } from './mark-labels.js';
import { BAR, CARD, CHART_WIDTH, drawSvg, INK, RULE, SOFT, shareOf } from './svg.js';

const LABEL = { color: INK, fontSize: 12 } as const;
export const ROWS_LEFT = 104;
/** Room for the figure of a row, written at its end where no mark can run through it. */
const RIGHT = 76;

export interface Axis {
  readonly min: number;
  readonly max: number;
  readonly log?: boolean;
  readonly interval?: number;
  readonly label?: (value: number) => string;
  /** Where words stand, when round figures are not the ones wanted. */
  readonly ticks?: readonly number[];
}

export interface Mark {
  readonly at: number;
  readonly name: string;
  readonly colour: string;
}

export interface Bar {
  readonly row: number;
  readonly from: number;
  readonly to: number;
  readonly colour: string;
}

export interface Dot {
  readonly row: number;
  readonly at: number;
  readonly hollow: boolean;
  readonly colour: string;
}

/** What is wanted of one row: a stroke across it. */
export interface Tick {
  readonly row: number;
  readonly at: number;
}

export interface Row {
  readonly title: string;
  /** The figure in words, at the end of the row. */
  readonly value?: string;
}

export interface RowChart {
  readonly rows: readonly Row[];
  readonly axis: Axis;
  readonly marks?: readonly Mark[];
  readonly bars?: readonly Bar[];
  readonly dots?: readonly Dot[];
  readonly ticks?: readonly Tick[];
  /** Sides of the drawing; each row's title then stands above its bars, on the whole width, where no title is cut off. */
  readonly margins?: { readonly left: number; readonly right: number };
}

/**
 * Draws rows against one value axis as SVG, on the server, without script. Every drawn figure also stands in a
 * table of the report, so the picture carries one label for readers who cannot see it.
 */
export function drawRows(chart: RowChart, label: string, caption: string): Html {
  const svg = rowsSvg(chart, CHART_WIDTH);
  return html`<figure class="chart"><div role="img" aria-label="${label}">${trusted(svg)}</div><figcaption>${caption}</figcaption></figure>`;
}

/** Heights of a row, with its title beside it and above it. */
const ROW = 26;
const TALL_ROW = 34;

/** The drawing alone, at a width of one's own. */
export function rowsSvg(chart: RowChart, width: number): string {
  const { rows, margins } = chart;
  const height = 46 + rows.length * (margins === undefined ? ROW : TALL_ROW);
  const hasValues = rows.some((row) => row.value !== undefined);
  const sides = margins ?? { left: ROWS_LEFT, right: hasValues ? RIGHT : 18 };
  const titles = rows.map((row) => row.title);
  const paper = width - sides.left - sides.right;
  const storeys = storeysOf(
    (chart.marks ?? []).map(({ at, name }) => ({ x: paper * shareOf(at, chart.axis), text: name })),
    MARK_SIZE,
  );
  const above = Math.max(0, ...storeys) * STOREY;
  return drawSvg(
    {
      grid: { ...sides, top: 20 + above, bottom: 26 },
      xAxis: valueAxis(chart.axis),
      yAxis: [
        margins === undefined ? rowAxis(titles, ROWS_LEFT - 10) : axisOfTitlesAbove(titles),
        {
          ...rowAxis(
            rows.map((row) => row.value ?? ''),
            RIGHT - 6,
          ),
          position: 'right',
        },
      ],
      series: [bars(chart, storeys), strokes(chart), dots(chart)],
    },
    width,
    height + above,
  );
}

function rowAxis(texts: readonly string[], width: number) {
  return {
    type: 'category' as const,
    inverse: true,
    data: texts.map(visibleText),
    axisLine: { show: false },
    axisTick: { show: false },
    splitLine: { show: false },
    axisLabel: { ...LABEL, width, overflow: 'truncate' as const, interval: 0 },
  };
}

function axisOfTitlesAbove(texts: readonly string[]) {
  return {
    ...rowAxis(texts, 0),
    // Above bars and lines, which begin where the words do.
    z: 6,
    axisLabel: {
      ...LABEL,
      interval: 0,
      inside: true,
      margin: 0,
      align: 'left' as const,
      verticalAlign: 'bottom' as const,
      textBorderColor: CARD,
      textBorderWidth: 3,
    },
  };
}

function valueAxis({ min, max, log, interval, label, ticks }: Axis) {
  const axisLabel = {
    ...LABEL,
    color: SOFT,
    formatter: (value: number) => (label ? label(value) : `${value}`.replace('-', '−')),
  };
  const shared = {
    min,
    max,
    axisLine: { lineStyle: { color: RULE } },
    splitLine: { lineStyle: { color: RULE } },
    ...(ticks === undefined ? {} : { axisTick: { customValues: [...ticks] } }),
    axisLabel: ticks === undefined ? axisLabel : { ...axisLabel, customValues: [...ticks] },
  };
  return log
    ? { ...shared, type: 'log' as const, logBase: 10 }
    : { ...shared, type: 'value' as const, ...(interval === undefined ? {} : { interval }) };
}

const MARK_SIZE = 11;

/** @param storeys of the words of its marks */
function bars(chart: RowChart, storeys: readonly number[]): CustomSeriesOption {
  const items = chart.bars ?? [];
  return {
    type: 'custom',
    silent: true,
    data: items.map((bar) => [bar.row, bar.from, bar.to]),
    encode: { x: [1, 2], y: 0 },
    renderItem: (params, api) => {
      const row = Number(api.value(0));
      const [x0 = 0, y = 0] = api.coord([Number(api.value(1)), row]);
      const [x1 = 0] = api.coord([Number(api.value(2)), row]);
      const colour = items[params.dataIndex]?.colour ?? BAR;
      // A single frame of a long file must still be seen.
      const width = Math.max(3, x1 - x0);
      const top = chart.margins === undefined ? y - 6 : y + 3;
      return { type: 'rect', shape: { x: x0, y: top, width, height: 12 }, style: { fill: colour } };
    },
    markLine: {
      silent: true,
      symbol: 'none',
      animation: false,
      data: (chart.marks ?? []).map((mark, index) => ({
        xAxis: mark.at,
        lineStyle: { color: mark.colour, type: 'dashed' as const, width: 1.5 },
        label: {
          formatter: () => visibleText(mark.name),
          color: mark.colour,
          fontSize: MARK_SIZE,
          position: 'start' as const,
          distance: 3 + (storeys[index] ?? 0) * STOREY,
        },
      })),
    },
  };
}

function strokes(chart: RowChart): CustomSeriesOption {
  return {
    type: 'custom',
    silent: true,
    data: (chart.ticks ?? []).map((tick) => [tick.at, tick.row]),
    encode: { x: 0, y: 1 },
    // Over the disc that may stand on it.
    z: 4,
    renderItem: (_, api) => {
      const [x = 0, y = 0] = api.coord([Number(api.value(0)), Number(api.value(1))]);
      return { type: 'rect', shape: { x: x - 1, y: y - 10, width: 2, height: 20 }, style: { fill: INK } };
    },
  };
}

function dots(chart: RowChart): ScatterSeriesOption {
  return {
    type: 'scatter',
    silent: true,
    data: (chart.dots ?? []).map((dot) => ({
      value: [dot.at, dot.row],
      symbol: dot.hollow ? 'diamond' : 'circle',
      symbolSize: dot.hollow ? 13 : 9,
      itemStyle: dot.hollow
        ? { color: 'var(--card)', borderColor: INK, borderWidth: 2, opacity: 1 }
        : { color: dot.colour, borderColor: dot.colour, borderWidth: 1, opacity: 1 },
    })),
  };
}
