import type { FrameRange, Measurement } from '../../../../jobs/measurement/measurement.js';
import type { Finding } from '../../../../jobs/verdict/verdict.js';
import { count } from '../../../../jobs/words/numbers.js';
import { requirementTitle } from '../../../judge/requirement-title.js';
import { badgeWord } from '../badge.js';
import { eventTitle, tellsOfEvent } from '../event-titles.js';
import { type Html, html } from '../markup.js';
import { troubledFindings } from '../pages/render-findings.js';
import { type Bar, drawRows, type Row, type RowChart, rowsSvg } from './chart.js';
import { BAR, CHART_WIDTH, FAIL, INK, RULE, SOFT, WARN, WIDE_WIDTH } from './svg.js';
import { type TimeAxis, timeAxisOf } from './time-axis.js';
import { MARGINS, twoWidths } from './time-plot.js';

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

/** Findings worst first, told by word as by colour; then what was found and no finding speaks of. */
function gather(measured: Measurement, findings: readonly Finding[]): Places | null {
  const frames = measured.video?.frames ?? 0;
  if (frames < 2) return null;
  const rows: Row[] = [];
  const bars: Bar[] = [];
  const put = (words: string, ranges: readonly FrameRange[], colour: string) => {
    const title = ranges.length > 1 ? `${words}, ${count(ranges.length, 'place')}` : words;
    for (const range of ranges.slice(0, RANGES)) {
      bars.push({ row: rows.length, from: range.from, to: Math.max(range.to, range.from + 1), colour });
    }
    rows.push({ title });
  };
  const shown = findingsWithPlaces(findings);
  for (const { requirement, outcome, at, waiver } of shown) {
    const word = waiver === null ? outcome : 'waived';
    const colour = waiver !== null ? SOFT : outcome === 'fail' ? FAIL : WARN;
    put(`${badgeWord(word)}: ${requirementTitle(requirement)}`, at, colour);
  }
  const rest = measured.events.filter((event) => !isToldBy(shown, event));
  for (const kind of [...new Set(rest.map((event) => event.kind))].slice(0, KINDS)) {
    put(
      eventTitle(kind),
      rest.filter((event) => event.kind === kind),
      BAR,
    );
  }
  if (rows.length === 0) return null;
  const last = Math.max(frames, ...bars.map((bar) => bar.to));
  return { rows, bars, words: rows.map(({ title }) => title).join('; '), frames, last };
}

/** What several targets say alike is drawn once. */
function findingsWithPlaces(findings: readonly Finding[]): Finding[] {
  const told = new Set<string>();
  return troubledFindings(findings).filter(({ requirement, outcome, at }) => {
    const key = JSON.stringify([requirement, outcome, at]);
    if (at.length === 0 || told.has(key)) return false;
    told.add(key);
    return true;
  });
}

function isToldBy(findings: readonly Finding[], event: Measurement['events'][number]): boolean {
  return findings.some(
    ({ requirement, at }) =>
      tellsOfEvent(requirement, event.kind) &&
      at.some(({ from, to }) => from <= event.from && event.to <= to),
  );
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
    { ...chartOf(places, time, 2), margins: MARGINS.narrow },
    labelOf(places),
    `Where it happens, ${AXIS_WORDS[time.unit]}.`,
  );
}

/** The same on the axis of the plots over time. */
export function placesOf(measured: Measurement, findings: readonly Finding[], time: TimeAxis): Html | null {
  const places = gather(measured, findings);
  if (places === null) return null;
  const wide = rowsSvg({ ...chartOf(places, time, 8), margins: MARGINS.wide }, WIDE_WIDTH);
  const narrow = rowsSvg({ ...chartOf(places, time, 2), margins: MARGINS.narrow }, CHART_WIDTH);
  return html`<figure class="plot"><figcaption><b>Places ${AXIS_WORDS[time.unit]}</b></figcaption>
${twoWidths(labelOf(places), wide, narrow)}
<p class="note">Findings first, worst on top; then what else was found in the file.</p></figure>`;
}

function labelOf({ frames, words }: Places): string {
  return `Where it happens, over ${count(frames, 'frame')}. ${words}`;
}
