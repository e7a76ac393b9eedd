import type { SoundCurve } from '../../../../jobs/measurement/measured-curves.js';
import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import { limit, quantity } from '../../../../jobs/words/quantities.js';
import { type Asked, limitsOf, STROKES } from './plot-limits.js';
import { FAIL, WARN } from './svg.js';
import type { TimeAxis } from './time-axis.js';
import type { Curve, Limit, TimePlot } from './time-plot.js';

/** Streams plotted; a file of many languages has more in its measurement. */
const STREAMS = 4;
const QUIETEST = -60;

/** Momentary and short-term loudness of each stream, with what the targets want. */
export function loudnessPlots(measured: Measurement, asked: readonly Asked[], time: TimeAxis): TimePlot[] {
  const { perSecond } = time;
  if (perSecond === null) return [];
  return measured.curves.sound
    .filter((curve) => [...curve.momentary, ...curve.shortTerm].some((value) => value !== null))
    .slice(0, STREAMS)
    .map((curve) => loudnessPlot(curve, measured, asked, perSecond));
}

function loudnessPlot(
  curve: SoundCurve,
  measured: Measurement,
  asked: readonly Asked[],
  perSecond: number,
): TimePlot {
  const stream = measured.audio.find((sound) => sound.stream === curve.stream);
  const targets = limitsOf(asked, ({ loudness }) =>
    loudness === undefined ? undefined : { at: loudness.target },
  );
  const tolerance = Math.max(0, ...asked.map(({ require }) => require.loudness?.tolerance ?? 0));
  const step = curve.secondsPerPoint * perSecond;
  const several = measured.curves.sound.length > 1 ? `, stream ${curve.stream}` : '';
  const drawn: Curve[] = [
    { name: 'momentary', points: curve.momentary, step, keep: 'highest', stroke: STROKES.third },
    { name: 'short-term', points: curve.shortTerm, step, keep: 'highest', stroke: STROKES.first },
  ];
  const highest = Math.max(0, ...[...curve.momentary, ...curve.shortTerm].map((value) => value ?? QUIETEST));
  const figures = [
    ['programme loudness', stream?.integratedLufs],
    ['highest momentary', stream?.maxMomentaryLufs],
    ['highest short-term', stream?.maxShortTermLufs],
  ]
    .flatMap(([name, value]) => (typeof value === 'number' ? [`${name} ${quantity(value, 'LUFS')}`] : []))
    .join(', ');
  return {
    title: `Loudness${several}, LUFS`,
    curves: drawn,
    limits: [
      ...targets.map(({ at, targets: names }) => ({
        at,
        name: `expected ${limit(at, 'LUFS')} over the programme (${names})`,
        short: `expected ${limit(at, 'LUFS')}`,
        colour: WARN,
      })),
      ...highestAllowed(asked, 'max-short-term', 'short-term'),
      ...highestAllowed(asked, 'max-momentary', 'momentary'),
    ],
    bands: targets.map(({ at }) => ({
      from: at - tolerance,
      to: at + tolerance,
      colour: 'var(--warn-wash)',
    })),
    spot: null,
    axis: { min: QUIETEST, max: Math.ceil(highest / 10) * 10, interval: 10 },
    label: `Loudness over time${several}: ${figures}`,
    note: `Whole stream: ${figures}.${targets.length === 0 ? '' : ' The target is for the whole stream, not for any moment of it.'}`,
  };
}

function highestAllowed(
  asked: readonly Asked[],
  requirement: 'max-short-term' | 'max-momentary',
  title: string,
): Limit[] {
  const limits = limitsOf(asked, (require) => {
    const limit = require[requirement];
    return limit === undefined ? undefined : { at: limit.max };
  });
  return limits.map(({ at, targets }) => ({
    at,
    name: `highest ${title} allowed ${limit(at, 'LUFS')} (${targets})`,
    short: `${title} ${limit(at, 'LUFS')}`,
    colour: FAIL,
  }));
}
