import type { CustomSeriesOption, ScatterSeriesOption } from 'echarts';
import { type Html, html, trusted, visibleText } from '../markup.js';
import { typeset } from '../typeset.js';
import { AXIS_WORDS, type Axis, valueAxis } from './axis.js';
import { type Mark, uprightLines } from './mark-line.js';
import { BAR, CARD, CHART_WIDTH, drawSvg, INK } from './svg.js';

const LABEL = { color: INK, fontSize: AXIS_WORDS } as const;
export const ROWS_LEFT = 104;
/** Room for the figure of a row, written at its end where no mark can run through it. */
const RIGHT = 76;

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
  /**
   * Sides of the drawing; each row's title then stands above its bars, on the whole width, where no title is
   * cut off.
   */
  readonly margins?: { readonly left: number; readonly right: number };
}

/**
 * Draws rows against one value axis as SVG, on the server, without script. Every drawn figure also stands in
 * a table of the report, so the picture carries one label for readers who cannot see it.
 */
export function drawRows(chart: RowChart, label: string, caption: string): Html {
  const svg = rowsSvg(chart, CHART_WIDTH);
  return html`<figure class="chart"><div role="img" aria-label="${typeset(label)}">${trusted(svg)}</div><figcaption>${typeset(caption)}</figcaption></figure>`;
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
  // Rows run downwards, so a line starts at the top.
  const marks = uprightLines(chart.marks ?? [], chart.axis, paper, 'start');
  return drawSvg(
    {
      grid: { ...sides, top: 20 + marks.height, bottom: 26 },
      xAxis: valueAxis(chart.axis, { line: true, grid: true }),
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
      series: [{ ...bars(chart), markLine: marks.lines }, strokes(chart), dots(chart)],
    },
    width,
    height + marks.height,
  );
}

function rowAxis(texts: readonly string[], width: number) {
  return {
    type: 'category' as const,
    inverse: true,
    data: texts.map((text) => typeset(visibleText(text))),
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

function bars(chart: RowChart): CustomSeriesOption {
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
