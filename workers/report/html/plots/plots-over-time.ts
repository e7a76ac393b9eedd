import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import type { RequirementName } from '../../../../jobs/requirements/requirement.js';
import type { Finding } from '../../../../jobs/verdict/verdict.js';
import { levelPercent, nits, percent } from '../../../../jobs/words/quantities.js';
import { type Html, type HtmlPart, html } from '../markup.js';
import { troubledFindings } from '../pages/render-findings.js';
import { thousands } from './axis.js';
import { loudnessPlots } from './loudness-plots.js';
import { placesOf } from './places-chart.js';
import { type Asked, forbiddenFrom, limitsOf, STROKES } from './plot-limits.js';
import { stopsPlot } from './stops-plot.js';
import { FAIL, SOFT, WARN } from './svg.js';
import { type TimeAxis, timeAxisOf } from './time-axis.js';
import { drawTimePlot, type Limit, type TimePlot } from './time-plot.js';

/** What a plot shows, and the requirements whose findings it helps to understand. */
interface Shown {
  readonly plot: TimePlot | null;
  readonly about: readonly RequirementName[];
}

const OF_LIGHT = ['peak-luminance', 'light-level', 'mastering-display', 'flashes', 'black-frames'] as const;
const OF_LEVELS = ['signal-range', 'range-flag', 'reserved-codes', 'flashes', 'black-frames'] as const;
const OF_LOUDNESS = ['loudness', 'loudness-range', 'max-momentary', 'max-short-term', 'silence'] as const;

/**
 * The plots of one file over one time axis, each only where it was measured. Null where nothing was.
 *
 * @param findings what the file was found to be, for the places; and with `troubled` for the choice of plots
 * @param withStops false where the page shows the exposure by itself already
 * @param scope `troubled`: only the plots that help to understand what is wrong
 */
export function renderOverTime(
  measured: Measurement,
  asked: readonly Asked[],
  findings: readonly Finding[],
  scope: 'all' | 'troubled' = 'all',
  withStops = true,
): Html | null {
  const time = timeAxisOf(measured);
  if (time === null) return null;
  const troubled = new Set<string>(troubledFindings(findings).map(({ requirement }) => requirement));
  const isWanted = (about: readonly RequirementName[]) =>
    scope === 'all' || about.some((requirement) => troubled.has(requirement));
  const shown: Shown[] = [
    { plot: withStops ? stopsPlot(measured) : null, about: [] },
    { plot: lightPlot(measured, asked, time), about: OF_LIGHT },
    { plot: levelPlot(measured, asked), about: OF_LEVELS },
    { plot: areaPlot(measured, asked, time), about: ['signal-range'] },
    ...loudnessPlots(measured, asked, time).map((plot) => ({ plot, about: OF_LOUDNESS })),
  ];
  const plots = shown.flatMap(({ plot, about }) => (plot !== null && isWanted(about) ? [plot] : []));
  const hasPlaces = troubledFindings(findings).some(({ at }) => at.length > 0);
  // A file's own page shows the places by themselves, before anything else.
  const places = scope === 'troubled' && hasPlaces && shown.some(({ plot }) => plot !== null);
  // Places alone need no axis as wide as the page.
  if (plots.length === 0 && !places) return null;
  return html`<div class="plots">${plots.map((plot) => drawTimePlot(plot, time))}${scope === 'all' && nothingOutside(measured)}${places && placesOf(measured, findings, time)}</div>`;
}

/** In place of a plot that would be one flat line. */
function nothingOutside({ curves, levels }: Measurement): HtmlPart {
  const area = curves.picture?.gamutArea ?? [];
  if (levels === null || levels.gamutError.worstFrame !== null || area.length === 0) return null;
  if (area.some((share) => share === null || share > 0)) return null;
  return html`<p class="note flat"><b>Area outside EBU R 103:</b> none in any frame.</p>`;
}

/**
 * The dimmest light a plot tells apart, and the brightest its scale may begin with; a black frame is drawn at
 * the foot.
 */
const DIMMEST = 0.01;
const BRIGHTEST_FOOT = 1;
const BRIGHTEST = 10_000;

function lightPlot(
  { curves, luminance }: Measurement,
  asked: readonly Asked[],
  time: TimeAxis,
): TimePlot | null {
  const light = curves.picture?.light;
  if (!light || luminance === null || curves.picture === null) return null;
  const step = curves.picture.framesPerPoint;
  const foot = footOf([...light.max, ...light.p9999, ...light.average]);
  const mastering = luminance.declared.masteringMax;
  const peaks = limitsOf(asked, ({ 'peak-luminance': peak }) =>
    peak === undefined ? undefined : { at: peak.max, inParts: peak.regions !== undefined },
  );
  const limits: Limit[] = [
    ...peaks.map(({ at, targets }) => ({
      at,
      name: `limit ${nits(at)} (${targets})`,
      short: `limit ${at}`,
      colour: FAIL,
    })),
    ...(mastering === null || peaks.some(({ at }) => at === mastering)
      ? []
      : [
          {
            at: mastering,
            name: `declared mastering peak ${nits(mastering)}`,
            short: `mastering ${mastering}`,
            colour: WARN,
          },
        ]),
  ].filter(({ at }) => at > foot && at <= BRIGHTEST);
  const forbidden = forbiddenFrom(peaks);
  const shown = luminance.displayPeak === null ? '' : ` on a display of ${nits(luminance.displayPeak)}`;
  const worst = `${nits(luminance.maxCll)} at ${time.placeOf(luminance.maxCllFrame)}`;
  return {
    title: `Light, cd/m²${shown}, log scale`,
    curves: [
      { name: 'brightest pixel', points: light.max, step, keep: 'highest', stroke: STROKES.first },
      { name: '99.99 percentile', points: light.p9999, step, keep: 'highest', stroke: STROKES.second },
      { name: 'frame average', points: light.average, step, keep: 'mean', stroke: STROKES.third },
    ],
    limits,
    bands: forbidden === null ? [] : [{ from: forbidden, to: BRIGHTEST, colour: 'var(--fail-wash)' }],
    spot: { at: luminance.maxCllFrame, value: luminance.maxCll },
    axis: { min: foot, max: BRIGHTEST, log: true, label: thousands },
    label: `Light over time${shown}: highest ${worst}. ${limits.map(({ name }) => name).join('; ')}`,
    note: `Ringed: the brightest pixel of the file, ${worst}. Light of max(R,G,B); under ${nits(foot)} is drawn at the foot.`,
  };
}

/** The decade below the dimmest light that is no black. */
function footOf(points: readonly (number | null)[]): number {
  const least = points.reduce<number>(
    (dimmest, value) => (value !== null && value >= DIMMEST ? Math.min(dimmest, value) : dimmest),
    BRIGHTEST,
  );
  return Math.min(BRIGHTEST_FOOT, 10 ** Math.floor(Math.log10(least)));
}

/** For pictures whose light is relative to a display nobody named: SDR, and camera logs. */
function levelPlot({ curves, levels, luminance }: Measurement, asked: readonly Asked[]): TimePlot | null {
  const picture = curves.picture;
  if (picture === null || luminance !== null || levels === null) return null;
  const all = [...picture.levelMin, ...picture.levelMax].filter((value) => value !== null);
  if (all.length === 0) return null;
  const judged = asked.some(({ require }) => require['signal-range'] !== undefined);
  const least = Math.min(-20, Math.floor(Math.min(...all) / 20) * 20);
  const most = Math.max(120, Math.ceil(Math.max(...all) / 20) * 20);
  const step = picture.framesPerPoint;
  const [lowest, highest] = [Math.min(...all), Math.max(...all)];
  const what = levels.luma === null ? "R'G'B'" : 'Luma';
  return {
    title: `Levels (${what}), % of narrow range`,
    curves: [
      { name: 'highest', points: picture.levelMax, step, keep: 'highest', stroke: STROKES.first },
      { name: 'lowest', points: picture.levelMin, step, keep: 'lowest', stroke: STROKES.lower },
    ],
    limits: judged
      ? [
          { at: 105, name: 'EBU R 103: 105.0 %', short: 'EBU R 103: 105.0 %', colour: WARN },
          { at: -5, name: 'EBU R 103: -5.0 %', short: 'EBU R 103: -5.0 %', colour: WARN, below: true },
        ]
      : [
          { at: 100, name: 'nominal white', short: 'nominal white', colour: SOFT },
          { at: 0, name: 'nominal black', short: 'nominal black', colour: SOFT, below: true },
        ],
    bands: judged
      ? [
          { from: 105, to: most, colour: 'var(--warn-wash)' },
          { from: least, to: -5, colour: 'var(--warn-wash)' },
        ]
      : [],
    spot: null,
    axis: { min: least, max: most, interval: 20 },
    label: `Levels over time: lowest ${levelPercent(lowest)} percent, highest ${levelPercent(highest)} percent of narrow range`,
    note: judged
      ? 'Every sample as coded. EBU R 103 filters short excursions before it counts an area outside.'
      : 'Every sample as coded; no target asked for limits.',
  };
}

function areaPlot({ curves, levels }: Measurement, asked: readonly Asked[], time: TimeAxis): TimePlot | null {
  const picture = curves.picture;
  if (picture === null || levels === null) return null;
  const points = picture.gamutArea.map((area) => (area === null ? null : area * 100));
  const { worstFrame, worstArea } = levels.gamutError;
  const allowed = limitsOf(asked, ({ 'signal-range': range }) =>
    range === undefined ? undefined : { at: range.maxArea, inParts: range.regions !== undefined },
  );
  // A flat line at nothing tells no more than the sentence that stands in its place.
  if (points.every((area) => area === null) || worstFrame === null || worstArea === 0) return null;
  const forbidden = forbiddenFrom(allowed);
  const highest = Math.max(worstArea * 100, ...allowed.map(({ at }) => at * 100));
  const top = Math.min(100, niceCeiling(highest * 1.15));
  const worst = `worst ${percent(worstArea)} at ${time.placeOf(worstFrame)}`;
  return {
    title: 'Area outside EBU R 103, % of the picture',
    curves: [
      {
        name: 'area outside',
        points,
        step: picture.framesPerPoint,
        keep: 'highest',
        stroke: STROKES.first,
      },
    ],
    limits: allowed.map(({ at, targets }) => ({
      at: at * 100,
      name: `limit ${percent(at)} (${targets})`,
      short: `limit ${percent(at)}`,
      colour: FAIL,
    })),
    bands: forbidden === null ? [] : [{ from: forbidden * 100, to: top, colour: 'var(--fail-wash)' }],
    spot: { at: worstFrame, value: worstArea * 100 },
    axis: { min: 0, max: top },
    label: `Area outside EBU R 103 over time: ${worst}`,
    note: `Ringed: ${worst}.`,
  };
}

function niceCeiling(value: number): number {
  const power = 10 ** Math.floor(Math.log10(value));
  return power * ([1, 2, 3, 5, 10].find((step) => step * power >= value) ?? 10);
}
