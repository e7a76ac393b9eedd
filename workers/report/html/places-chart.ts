import type { FrameRange, Measurement } from '../../../jobs/measurement.js';
import type { Finding } from '../../../jobs/verdict.js';
import { type Bar, drawRows, type Row, type RowChart, rowsSvg } from './chart.js';
import { type Html, html } from './markup.js';
import { requirementTitle } from './requirement-titles.js';
import { BAR, CHART_WIDTH, FAIL, INK, RULE, WARN, WIDE_WIDTH } from './svg.js';
import { type TimeAxis, timeAxisOf } from './time-axis.js';
import { twoWidths } from './time-plot.js';

/** Ranges drawn in one row; a row of four thousand reads no better than one of two hundred. */
const RANGES = 200;
/** Kinds of event that get a row of their own. */
const KINDS = 6;

interface Places {
  readonly rows: readonly Row[];
  readonly bars: readonly Bar[];
  readonly words: string;
  readonly frames: number;
  /** The end of the axis: what a container promises may lie after the last frame. */
  readonly last: number;
}

function gather(measured: Measurement, findings: readonly Finding[]): Places | null {
  const frames = measured.video?.frames ?? 0;
  if (frames < 2) return null;
  const rows: Row[] = [];
  const bars: Bar[] = [];
  const words: string[] = [];
  const put = (title: string, ranges: readonly FrameRange[], colour: string) => {
    for (const range of ranges.slice(0, RANGES)) {
      bars.push({ row: rows.length, from: range.from, to: Math.max(range.to, range.from + 1), colour });
    }
    words.push(`${title}: ${ranges.length} ${ranges.length === 1 ? 'place' : 'places'}`);
    rows.push({ title });
  };
  for (const finding of findings) {
    if (finding.outcome === 'pass' || finding.at.length === 0) continue;
    put(requirementTitle(finding.requirement), finding.at, finding.outcome === 'fail' ? FAIL : WARN);
  }
  const kinds = [...new Set(measured.events.map((event) => event.kind))].slice(0, KINDS);
  for (const kind of kinds) {
    put(
      kind,
      measured.events.filter((event) => event.kind === kind),
      BAR,
    );
  }
  if (rows.length === 0) return null;
  const last = Math.max(frames, ...bars.map((bar) => bar.to));
  return { rows, bars, words: words.join('; '), frames, last };
}

function chartOf({ rows, bars, frames, last }: Places, time: TimeAxis, most: number): RowChart {
  const ticks = time.ticks(most);
  const labels = new Map(ticks.map((tick) => [tick.at, tick.label]));
  return {
    rows,
    bars,
    marks:
      last > frames ? [{ at: frames, name: 'last frame', colour: INK }] : [{ at: 0, name: '', colour: RULE }],
    axis: { min: 0, max: last, ticks: ticks.map(({ at }) => at), label: (at) => labels.get(at) ?? '' },
  };
}

const AXIS_WORDS = { timecode: 'by timecode', frame: 'by frame number', time: 'by time' } as const;

/** Where findings and events lie, small. */
export function placesChart(measured: Measurement, findings: readonly Finding[]): Html | null {
  const places = gather(measured, findings);
  const time = timeAxisOf(measured);
  if (places === null || time === null) return null;
  return drawRows(
    chartOf(places, time, 2),
    `Where it happens, over ${places.frames} frames. ${places.words}`,
    `Where it happens, ${AXIS_WORDS[time.unit]}.`,
  );
}

/** The same on the axis of the plots over time. */
export function placesOf(measured: Measurement, findings: readonly Finding[], time: TimeAxis): Html | null {
  const places = gather(measured, findings);
  if (places === null) return null;
  const label = `Where it happens, over ${places.frames} frames. ${places.words}`;
  return html`<figure class="plot"><figcaption><b>Where it happens</b></figcaption>
${twoWidths(label, rowsSvg(chartOf(places, time, 8), WIDE_WIDTH), rowsSvg(chartOf(places, time, 2), CHART_WIDTH))}
<p class="note">Findings first, then what was found in the file whoever asked. ${places.words}.</p></figure>`;
}
