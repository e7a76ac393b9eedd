import type { AudioMeasurement, Measurement } from '../../../../jobs/measurement/measurement.js';
import type { Finding } from '../../../../jobs/verdict/verdict.js';
import { significant } from '../../../../jobs/words/numbers.js';
import { figure, levelPercent, limit, type Unit } from '../../../../jobs/words/quantities.js';
import { type Html, html } from '../markup.js';
import { troubledFindings } from '../pages/render-findings.js';
import { thousands } from './axis.js';
import { type Bar, type Dot, drawRows, type Row, type Tick } from './chart.js';
import type { Mark } from './mark-line.js';
import { placesChart } from './places-chart.js';
import { type Asked, type DrawnLimit, limitsOf } from './plot-limits.js';
import { BAR, FAIL, INK, WARN } from './svg.js';

/**
 * The charts of one file: only what its measurement and verdict hold, beside what the targets want.
 *
 * @param withPlaces false where the plots over time show the places already
 */
export function renderCharts(
  measured: Measurement,
  findings: readonly Finding[],
  asked: readonly Asked[],
  withPlaces = true,
): Html | null {
  const charts = [
    levelsChart(measured, findings),
    lightChart(measured, findings, asked),
    loudnessChart(measured, findings, asked),
    withPlaces && placesChart(measured, findings),
  ].filter((chart) => chart !== null && chart !== false);
  return charts.length === 0 ? null : html`<div class="charts">${charts}</div>`;
}

function levelsChart({ levels }: Measurement, findings: readonly Finding[]): Html | null {
  const rows: Row[] = [];
  const bars: Bar[] = [];
  const words: string[] = [];
  // R 103 speaks of finished pictures: its limits are drawn only where the target asked for them.
  const range = findings.find((finding) => finding.requirement === 'signal-range');
  const judged = range !== undefined;
  const colour = toneOf(range);
  for (const [title, extremes] of [
    ['Luma', levels?.luma],
    ["R'G'B'", levels?.rgb],
  ] as const) {
    if (!extremes) continue;
    bars.push({ row: rows.length, from: extremes.percentMin, to: extremes.percentMax, colour });
    words.push(
      `${title} ${levelPercent(extremes.percentMin)} to ${levelPercent(extremes.percentMax)} percent`,
    );
    rows.push({ title });
  }
  if (rows.length === 0) return null;
  const marks: Mark[] = judged
    ? [
        { at: -5, name: '-5', colour: WARN },
        { at: 105, name: '105', colour: WARN },
      ]
    : [
        { at: 0, name: '0', colour: INK },
        { at: 100, name: '100', colour: INK },
      ];
  const least = Math.min(-25, ...bars.map((bar) => Math.floor(bar.from / 25) * 25));
  const most = Math.max(125, ...bars.map((bar) => Math.ceil(bar.to / 25) * 25));
  return drawRows(
    { rows, bars, marks, axis: { min: least, max: most, interval: 25, label: fifties } },
    `Levels: ${words.join('; ')}`,
    judged
      ? 'Lowest to highest level, % of narrow range. Dashed: EBU R 103 tolerance. Short excursions are filtered before they count.'
      : 'Lowest to highest level, % of narrow range. Dashed: nominal black and white.',
  );
}

/** What a target found wrong is drawn in the colour of the finding; the words beside it say the same. */
function toneOf(finding: Finding | undefined): string {
  if (finding?.outcome === 'fail') return FAIL;
  return finding?.outcome === 'warn' ? WARN : BAR;
}

/** Ticks stand at every 25 %, words only at every 50: there is no room for more. */
function fifties(value: number): string {
  return value % 50 === 0 ? significant(value, 6) : '';
}

/** Requirements whose figure stands in the chart of light. */
const OF_LIGHT: ReadonlySet<string> = new Set(['light-level', 'peak-luminance']);

function lightChart(
  { luminance }: Measurement,
  findings: readonly Finding[],
  asked: readonly Asked[],
): Html | null {
  if (luminance === null) return null;
  // Of the two that speak of this light the worse one gives the colour.
  const colour = toneOf(troubledFindings(findings).find(({ requirement }) => OF_LIGHT.has(requirement)));
  const { declared } = luminance;
  const dots: Dot[] = [];
  const rows: Row[] = [
    { title: 'MaxCLL', value: figure(luminance.maxCll, 'cd/m²') },
    { title: 'MaxFALL', value: figure(luminance.maxFall, 'cd/m²') },
    { title: '99.99 %', value: figure(luminance.p9999, 'cd/m²') },
  ];
  const put = (row: number, value: number | null, hollow: boolean) => {
    if (value === null || value <= 0) return;
    dots.push({ row, at: Math.max(1, value), hollow, colour: row < 2 ? colour : BAR });
  };
  put(0, declared.maxCll, true);
  put(1, declared.maxFall, true);
  put(0, luminance.maxCll, false);
  put(1, luminance.maxFall, false);
  put(2, luminance.p9999, false);
  const limits = limitsOf(asked, ({ 'peak-luminance': peak }) =>
    peak === undefined ? undefined : { at: peak.max },
  );
  const limit = limits.length === 0 ? null : Math.min(...limits.map(({ at }) => at));
  const mastering = declared.masteringMax === limit ? null : declared.masteringMax;
  const marks: Mark[] = [
    ...(mastering === null ? [] : [{ at: mastering, name: 'mastering', colour: WARN }]),
    ...(limit === null ? [] : [{ at: limit, name: 'limit', colour: FAIL }]),
  ];
  const declaredText =
    declared.maxCll === null
      ? 'nothing declared'
      : `declared MaxCLL ${declared.maxCll}, MaxFALL ${declared.maxFall ?? 'none'}`;
  return drawRows(
    { rows, dots, marks, axis: { min: 1, max: 10_000, log: true, label: thousands } },
    `Light: ${rows.map(({ title, value }) => `${title} ${value}`).join(', ')} candela per square metre; ${declaredText}`,
    `cd/m², log scale. Disc: measured. Diamond: declared${declared.maxCll === null ? ' (nothing is)' : ''}.${dashed([mastering === null ? null : `declared mastering peak ${mastering}`, limit === null ? null : `limit ${limit}`])}`,
  );
}

function dashed(lines: readonly (string | null)[]): string {
  const drawn = lines.filter((line) => line !== null);
  return drawn.length === 0 ? '' : ` Dashed: ${drawn.join(', ')}.`;
}

interface LoudnessMeasure {
  readonly title: string;
  readonly value: number | null;
  readonly unit: Unit;
  readonly colour: string;
  readonly limits: readonly DrawnLimit[];
  /** Before a limit, in words. */
  readonly word: string;
}

/** The figures of one stream that a target may limit. */
function loudnessMeasures(
  sound: AudioMeasurement,
  findings: readonly Finding[],
  asked: readonly Asked[],
): LoudnessMeasure[] {
  const colour = (requirement: string) =>
    toneOf(findings.find((finding) => finding.requirement === requirement));
  const programme = limitsOf(asked, ({ loudness }) =>
    loudness === undefined ? undefined : { at: loudness.target },
  );
  const atMost = (
    requirement: 'max-short-term' | 'max-momentary' | 'true-peak',
    [title, value, unit]: readonly [string, number | null, Unit],
  ): LoudnessMeasure => ({
    ...{ title, value, unit, colour: colour(requirement), word: `${title.toLowerCase()} at most` },
    limits: limitsOf(asked, ({ [requirement]: limit }) =>
      limit === undefined ? undefined : { at: limit.max },
    ),
  });
  return [
    {
      title: 'Programme',
      value: sound.integratedLufs,
      unit: 'LUFS',
      colour: colour('loudness'),
      limits: programme,
      word: 'programme',
    },
    atMost('max-short-term', ['Short-term', sound.maxShortTermLufs, 'LUFS']),
    atMost('max-momentary', ['Momentary', sound.maxMomentaryLufs, 'LUFS']),
    atMost('true-peak', ['True peak', sound.truePeakDbtp, 'dBTP']),
  ];
}

const [QUIETEST, LOUDEST] = [-60, 5];

function loudnessChart(
  { audio }: Measurement,
  findings: readonly Finding[],
  asked: readonly Asked[],
): Html | null {
  const sound = audio.find((stream) => stream.integratedLufs !== null);
  if (!sound) return null;
  const dots: Dot[] = [];
  const ticks: Tick[] = [];
  const rows: Row[] = [];
  const expected: string[] = [];
  for (const { title, value, colour, limits, word, unit } of loudnessMeasures(sound, findings, asked)) {
    if (value === null) continue;
    for (const { at } of limits) {
      ticks.push({ row: rows.length, at: Math.max(QUIETEST, Math.min(LOUDEST, at)) });
      expected.push(`${word} ${limit(at, unit)}`);
    }
    const at = Math.max(QUIETEST + 1, Math.min(LOUDEST - 1, value));
    dots.push({ row: rows.length, at, hollow: false, colour });
    rows.push({ title, value: figure(value, unit) });
  }
  const which = audio.length > 1 ? ` First stream of ${audio.length} with sound.` : '';
  const stroke = expected.length === 0 ? '' : ` Stroke: expected, ${expected.join(', ')}.`;
  return drawRows(
    {
      rows,
      dots,
      ticks,
      axis: {
        min: QUIETEST,
        max: LOUDEST,
        interval: 20,
        label: (value) => (value > 0 ? '' : significant(value, 6)),
      },
    },
    `Sound: ${rows.map((row) => `${row.title} ${row.value ?? ''}`).join('; ')}.${stroke}`,
    `Loudness in LUFS, true peak in dBTP, on one scale.${stroke}${which}`,
  );
}
