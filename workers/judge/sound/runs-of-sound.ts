import type { AudioMeasurement, FrameRange, Measurement } from '../../../jobs/measurement/measurement.js';
import { count } from '../../../jobs/words/numbers.js';
import { parseRational } from '../../../signal/rational.js';
import type { SampleRun } from '../../measure/sound/longest-runs.js';
import { secondsText, soundFrames } from '../../measure/sound/sound-place.js';
import type { OneStream } from '../on-sound.js';
import { framesAt } from '../place.js';
import type { Parts } from '../requirement.js';
import { met, missed, missedOnlyAt, type Ruling, unmeasured } from '../ruling.js';

/** Runs of one kind: their number, and the longest of them. */
export interface KnownRuns {
  readonly name: string;
  readonly count: number;
  readonly longest: readonly SampleRun[];
}

/** Where a run of samples lies, in frames of the picture or, without one, in seconds. */
export function placeOf(measurement: Measurement, stream: AudioMeasurement, run: SampleRun): FrameRange {
  const rate = parseRational(measurement.video?.frameRate ?? '');
  const { from, to } = soundFrames(run, stream, rate);
  return framesAt(measurement, from, to);
}

/** The pieces of a run inside the parts, which begin and end at the edges of frames. */
export function inside(
  measurement: Measurement,
  stream: AudioMeasurement,
  run: SampleRun,
  parts: Parts,
): SampleRun[] {
  const rate = parseRational(measurement.video?.frameRate ?? '');
  if (parts === null || rate === null) return [run];
  const sampleAt = (frame: number): number =>
    ((frame * rate.den) / rate.num - (stream.startSeconds ?? 0)) * stream.sampleRate;
  return parts
    .map((part) => ({
      from: Math.max(run.from, sampleAt(part.from)),
      to: Math.min(run.to, sampleAt(part.to)),
    }))
    .filter(({ from, to }) => from < to);
}

/** Half a sample: edges of frames do not fall on samples. */
const ROUNDING_SAMPLES = 0.5;
const lengthOf = ({ from, to }: SampleRun): number => to - from;
const longer = (a: SampleRun, b: SampleRun): SampleRun => (lengthOf(b) > lengthOf(a) ? b : a);

/** Rules that no run of a stream is longer than allowed. */
export function ruleOnRuns(
  { measurement, stream, parts }: OneStream,
  maxSeconds: number,
  known: readonly KnownRuns[],
): Ruling {
  const most = maxSeconds * stream.sampleRate + ROUNDING_SAMPLES;
  const pieces = known.map(({ name, longest }) => ({
    name,
    runs: longest.flatMap((run) => inside(measurement, stream, run, parts)),
  }));
  const over = pieces
    .map(({ name, runs }) => ({ name, runs: runs.filter((run) => lengthOf(run) > most) }))
    .filter(({ runs }) => runs.length > 0);
  const othersPossible = known.some(
    ({ count: all, longest }) => all > longest.length && longest.every((run) => lengthOf(run) > most),
  );
  if (over.length > 0) {
    const at = over.flatMap(({ runs }) => runs.map((run) => placeOf(measurement, stream, run)));
    const measured = over
      .map(
        ({ name, runs }) =>
          `${name}: ${count(runs.length, 'run')}, the longest ${secondsText(runs.reduce(longer), stream.sampleRate)}`,
      )
      .join(', ');
    return othersPossible ? missed(`${measured}, and more`, { at }) : missedOnlyAt(at, measured);
  }
  if (othersPossible) return unmeasured('only the longest runs of the file are listed');
  const all = pieces.flatMap(({ runs }) => runs);
  return met(all.length === 0 ? 'none' : `the longest ${secondsText(all.reduce(longer), stream.sampleRate)}`);
}
