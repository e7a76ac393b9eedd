import type { LineSeriesOption } from 'echarts';
import type { CodeHistogram } from '../../../../jobs/measurement/measured-histograms.js';
import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import { type Html, type HtmlPart, html, trusted } from '../markup.js';
import { typeset } from '../typeset.js';
import { type Axis, held, valueAxis } from './axis.js';
import type { HistogramScale } from './histogram-scale.js';
import { type Mark, uprightLines } from './mark-line.js';
import { BAR, CHART_WIDTH, drawSvg, INK } from './svg.js';
import { keys, type Stroke } from './time-plot.js';

interface Trace {
  readonly name: string;
  readonly histogram: CodeHistogram;
  readonly stroke: Stroke;
  readonly filled: boolean;
}

/** Steps of a drawn histogram; at 10 bits four codes share one. */
const MOST_STEPS = 256;
/** The smallest share that is told from none, percent: one sample in a million. */
const LEAST_SHARE = 0.0001;
const HEIGHT = 200;

/**
 * Luma and R'G'B' histograms, drawn once for each scale. The reader chooses by a button; style sheet alone
 * shows the choice, so it works where scripts may not run, and paper gets the scale that was chosen.
 *
 * @param id Unlike any other in the page: the buttons of one group share it.
 */
export function renderHistograms(
  { histograms }: Measurement,
  scales: readonly HistogramScale[],
  id: string,
): Html | null {
  if (histograms === null || scales.length === 0) return null;
  const { luma, red, green, blue } = histograms;
  const drawings: [title: string, traces: Trace[]][] = [];
  if (luma !== null) {
    drawings.push([
      'Luma',
      [{ name: 'luma', histogram: luma, stroke: { colour: BAR, width: 1.5 }, filled: true }],
    ]);
  }
  const rgb = [
    trace('R', red, { colour: 'var(--red)', width: 2 }),
    trace('G', green, { colour: 'var(--green)', width: 1.75, dash: [6, 3] }),
    trace('B', blue, { colour: 'var(--blue)', width: 1.75, dash: [1.5, 2.5] }),
  ].filter((one) => one !== null);
  if (rgb.length > 0) drawings.push(["R'G'B'", rgb]);
  if (drawings.length === 0) return null;
  return html`<div class="histograms" role="group" aria-label="Histograms; the buttons choose their scale"><span class="label">Scale</span>${scales.map(
    (scale, index) =>
      html`<input type="radio" name="${id}" id="${id}-${scale.id}" value="${scale.id}"${index === 0 && trusted(' checked')}><label for="${id}-${scale.id}">${scale.name}</label>`,
  )}${scales.map(
    (scale) =>
      html`<div class="scale ${scale.id}"><div class="charts">${drawings.map(([title, traces]) => draw(title, traces, scale))}</div><p class="note">${typeset(scale.about)} Height: share of all samples of the file, percent, log scale.</p></div>`,
  )}</div>`;
}

function trace(name: string, histogram: CodeHistogram | null, stroke: Stroke): Trace | null {
  return histogram === null ? null : { name, histogram, stroke, filled: false };
}

const SIDES = { left: 54, right: 14 } as const;
const SHARES: Axis = { min: LEAST_SHARE, max: 100, log: true };

function draw(title: string, traces: readonly Trace[], scale: HistogramScale): HtmlPart {
  const marks = uprightLines(shownMarks(scale), scale, CHART_WIDTH - SIDES.left - SIDES.right, 'end');
  const steps = traces.map((one) => stepsOf(one.histogram));
  const each = Math.max(...steps.map((one) => one.codesPerStep));
  const svg = drawSvg(
    {
      grid: { ...SIDES, top: 18 + marks.height, bottom: 26 },
      xAxis: valueAxis(scale, { line: true, grid: false }),
      yAxis: valueAxis(SHARES, { line: false, grid: true }),
      series: traces.map((one, index) => ({
        ...series(one, steps[index]?.edges ?? [], scale),
        ...(index === 0 ? { markLine: marks.lines } : {}),
      })),
    },
    CHART_WIDTH,
    HEIGHT + marks.height,
  );
  const label = typeset(
    `Histogram of ${title}, ${scale.name}: ${traces.map((one) => spread(one, scale)).join('; ')}`,
  );
  return html`<figure class="chart"><figcaption><b>${title}</b>${traces.length > 1 && keys(traces)}</figcaption><div role="img" aria-label="${label}">${trusted(svg)}</div>${each > 1 && html`<p class="note">${each} codes a step</p>`}</figure>`;
}

/** Marks on the paper. */
function shownMarks(scale: HistogramScale): Mark[] {
  return scale.marks
    .map(({ code, name }) => ({ at: scale.place(code), name, colour: INK }))
    .filter(({ at }) => at >= scale.min && at <= scale.max);
}

interface Steps {
  readonly codesPerStep: number;
  /** Lower code of each step and its share in percent; a last one closes it. */
  readonly edges: readonly (readonly [code: number, share: number])[];
}

/** Shares of neighbouring bins added up, so that no more are drawn than can be seen. */
export function stepsOf(histogram: CodeHistogram): Steps {
  const { counts, firstCode, codesPerBin } = histogram;
  const total = counts.reduce((sum, count) => sum + count, 0);
  const bins = Math.max(1, Math.ceil(counts.length / MOST_STEPS));
  const width = bins * codesPerBin;
  const shares = new Map<number, number>();
  counts.forEach((count, index) => {
    const code = Math.floor((firstCode + index * codesPerBin) / width) * width;
    shares.set(code, (shares.get(code) ?? 0) + count);
  });
  const edges: [number, number][] = [...shares].map(([code, count]) => [
    code,
    total === 0 ? 0 : (100 * count) / total,
  ]);
  const end = edges.at(-1);
  if (end !== undefined) edges.push([end[0] + width, 0]);
  return { codesPerStep: width, edges };
}

function series(one: Trace, edges: Steps['edges'], scale: HistogramScale): LineSeriesOption {
  // A code fills the half on either side of it.
  const data = edges.map(([code, share]) => [
    held(scale.place(code - 0.5), scale),
    Math.max(share, LEAST_SHARE),
  ]);
  const first = data[0];
  return {
    type: 'line',
    silent: true,
    showSymbol: false,
    step: 'end',
    lineStyle: {
      color: one.stroke.colour,
      width: one.stroke.width,
      type: one.stroke.dash ? [...one.stroke.dash] : 'solid',
    },
    ...(one.filled
      ? { areaStyle: { color: one.stroke.colour, opacity: 0.25, origin: 'start' as const } }
      : {}),
    data: first === undefined ? [] : [[first[0], LEAST_SHARE], ...data],
  };
}

/** The median and the ends, for those who cannot see the drawing. */
function spread({ name, histogram }: Trace, scale: HistogramScale): string {
  const { counts, firstCode, codesPerBin } = histogram;
  const total = counts.reduce((sum, count) => sum + count, 0);
  let below = 0;
  let median = 0;
  for (const [index, count] of counts.entries()) {
    below += count;
    median = index;
    if (below * 2 >= total) break;
  }
  const at = (index: number): string =>
    scale.label(Number(scale.place(firstCode + index * codesPerBin).toPrecision(3)));
  return `${name} from ${at(0)} to ${at(counts.length - 1)}, median ${at(median)}`;
}
