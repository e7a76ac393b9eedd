import type { ChannelPair, QuietRuns, SoundContent } from '../../jobs/measurement/measured-sound.js';
import type { AudioMeasurement, FrameRange, Measurement } from '../../jobs/measurement/measurement.js';
import { parseRational } from '../../signal/rational.js';
import type { SampleRun } from '../measure/sound/longest-runs.js';
import { channelName, pairName } from '../measure/sound/sound-events.js';
import { secondsText, soundFrames } from '../measure/sound/sound-place.js';
import { onEachContent } from './each-stream.js';
import { count } from './figures.js';
import { type Parts, partsChecks } from './parts-rule.js';
import { framesAt } from './place.js';
import { met, missed, missedOnlyAt, type Ruling, unmeasured } from './ruling.js';

/** Runs of one thing: of how many the longest are known. */
interface KnownRuns {
  readonly name: string;
  readonly count: number;
  readonly longest: readonly SampleRun[];
}

interface LongestAllowed {
  readonly expected: string;
  readonly advice: string;
  readonly maxSeconds: number;
}

/** Where a run of samples lies, in frames of the picture or, without one, in seconds. */
function placeOf(measurement: Measurement, stream: AudioMeasurement, run: SampleRun): FrameRange {
  const rate = parseRational(measurement.video?.frameRate ?? '');
  const { from, to } = soundFrames(run, stream, rate);
  return framesAt(measurement, from, to);
}

/** What of a run lies in the parts. Frames hold samples: a part begins and ends with its frames. */
function inside(
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

/** No run of a stream may be longer than is allowed. */
function ruleOnRuns(
  measurement: Measurement,
  stream: AudioMeasurement,
  { expected, advice, maxSeconds }: LongestAllowed,
  known: readonly KnownRuns[],
  parts: Parts,
): Ruling {
  const most = maxSeconds * stream.sampleRate + ROUNDING_SAMPLES;
  const length = ({ from, to }: SampleRun): number => to - from;
  const over: { name: string; runs: SampleRun[] }[] = [];
  let longest: SampleRun | null = null;
  let othersMayBeOver = false;
  for (const { name, count: all, longest: kept } of known) {
    const pieces = kept.flatMap((run) => inside(measurement, stream, run, parts));
    for (const piece of pieces) if (longest === null || length(piece) > length(longest)) longest = piece;
    const runs = pieces.filter((piece) => length(piece) > most);
    if (runs.length > 0) over.push({ name, runs });
    if (all > kept.length && kept.every((run) => length(run) > most)) othersMayBeOver = true;
  }
  if (over.length > 0) {
    const at = over.flatMap(({ runs }) => runs.map((run) => placeOf(measurement, stream, run)));
    const measured = over
      .map(({ name, runs }) => {
        const worst = runs.reduce((a, b) => (length(b) > length(a) ? b : a));
        return `${name}: ${count(runs.length, 'run')}, the longest ${secondsText(worst, stream.sampleRate)}`;
      })
      .join(', ');
    return othersMayBeOver
      ? missed(expected, `${measured}, and more`, advice, at)
      : missedOnlyAt(at, expected, measured, advice);
  }
  if (othersMayBeOver) return unmeasured(expected, 'only the longest runs of the file are known', advice);
  return met(expected, longest === null ? 'none' : `the longest ${secondsText(longest, stream.sampleRate)}`);
}

/** The quiet of the whole stream, or of each of its channels. */
function quietOf(
  content: SoundContent,
  below: number | null,
  of: 'programme' | 'channel',
): KnownRuns[] | null {
  const at = (quiet: readonly QuietRuns[], name: string): KnownRuns[] =>
    quiet.filter((level) => level.below === below).map((level) => ({ ...level, name }));
  const found =
    of === 'programme'
      ? at(content.quiet, 'all channels')
      : content.channels.flatMap(({ quiet, speaker }, channel) =>
          // Effects are silent most of the time.
          speaker?.startsWith('LFE') ? [] : at(quiet, channelName(content, channel)),
        );
  return found.length === 0 ? null : found;
}

interface Quiet {
  readonly below: number | null;
  readonly maxSeconds: number;
  readonly of: 'programme' | 'channel';
}

function ruleOnQuiet({ below, maxSeconds, of }: Quiet, measurement: Measurement, parts: Parts): Ruling {
  const whose = of === 'programme' ? 'all channels' : 'any channel';
  const level = below === null ? 'at zero' : `at or below ${below} dBFS`;
  const allowed = {
    expected: `${whose} ${level} for at most ${maxSeconds} s`,
    advice: 'Listen there, quietly at first: if sound is missing, lay it again from the mix.',
    maxSeconds,
  };
  return onEachContent(measurement, allowed.expected, (content, stream) => {
    const known = quietOf(content, below, of);
    return known === null
      ? unmeasured(allowed.expected, 'the measurement does not hold this level', allowed.advice)
      : ruleOnRuns(measurement, stream, allowed, known, parts);
  });
}

export const silence = partsChecks<'silence'>(ruleOnQuiet);

export const digitalSilence = partsChecks<'digital-silence'>((limits, measurement, parts) =>
  ruleOnQuiet({ ...limits, below: null }, measurement, parts),
);

interface Phase {
  readonly below: number;
  readonly maxSeconds: number;
  readonly proof: boolean;
}

function ruleOnPhase({ below, maxSeconds, proof }: Phase, measurement: Measurement, parts: Parts): Ruling {
  const allowed = {
    expected: `correlation of left and right below ${below} for at most ${maxSeconds} s, windows of 400 ms`,
    advice: 'Listen there in mono, quietly at first: if sound vanishes, turn the polarity of one channel.',
    maxSeconds,
  };
  return onEachContent(measurement, allowed.expected, (content, stream) => {
    if (content.pairs === null) {
      const reason = `which of the ${stream.channels} channels are a left and a right one is not stated`;
      if (!proof) return met(allowed.expected, `not looked for: ${reason}`);
      return unmeasured(allowed.expected, reason, 'State the channel layout in the file.');
    }
    if (content.pairs.length === 0 && !proof) {
      return met(
        allowed.expected,
        `not looked for: ${count(stream.channels, 'channel')}, no left and right in one stream`,
      );
    }
    if (content.pairs.length === 0) return withoutPair(allowed.expected, measurement, stream);
    const at = (pair: ChannelPair): KnownRuns[] =>
      pair.outOfPhase
        .filter((level) => level.below === below)
        .map((level) => ({ ...level, name: pairName(content, pair) }));
    const known = content.pairs.flatMap(at);
    return known.length === 0
      ? unmeasured(allowed.expected, 'the measurement does not hold this correlation', allowed.advice)
      : ruleOnRuns(measurement, stream, allowed, known, parts);
  });
}

/** One stream of one channel has no phase against another; of several nobody knows which belong together. */
export function withoutPair(expected: string, { audio }: Measurement, stream: AudioMeasurement): Ruling {
  if (audio.length === 1) return met(expected, `${count(stream.channels, 'channel')}, no left and right`);
  const reason = 'one of several streams without a left and a right channel of its own';
  return unmeasured(expected, reason, 'Measure left and right as one stream with its channel layout.');
}

export const channelPhase = partsChecks<'channel-phase'>(ruleOnPhase);

function ruleOnClipping(maxRuns: number, measurement: Measurement, parts: Parts): Ruling {
  const expected = `at most ${count(maxRuns, 'run')} of 3 and more full-scale samples`;
  const advice =
    'Listen there, quietly at first: if it distorts, take the level down before the limiter and make the mix again.';
  return onEachContent(measurement, expected, (content, stream) => {
    const wholly: SampleRun[] = [];
    let runs = 0;
    let othersMayBeThere = false;
    for (const { clipping } of content.channels) {
      let seen = 0;
      for (const place of clipping.places) {
        seen += place.runs;
        const [piece] = inside(measurement, stream, place, parts);
        if (piece === undefined) continue;
        if (piece.from === place.from && piece.to === place.to) {
          wholly.push(place);
          runs += place.runs;
          // A place that reaches over the edge of a part holds runs on either side.
        } else othersMayBeThere = true;
      }
      if (seen < clipping.runs) othersMayBeThere = true;
    }
    if (parts === null) runs = content.channels.reduce((sum, { clipping }) => sum + clipping.runs, 0);
    if (runs > maxRuns) {
      const longest = Math.max(...content.channels.map(({ clipping }) => clipping.longest));
      const measured = `${count(runs, 'run')}, the longest ${count(longest, 'sample')}`;
      const at = wholly.map((place) => placeOf(measurement, stream, place));
      return othersMayBeThere
        ? missed(expected, measured, advice, at)
        : missedOnlyAt(at, expected, measured, advice);
    }
    if (parts !== null && othersMayBeThere) {
      return unmeasured(expected, 'not every place in these parts is known', advice);
    }
    return met(expected, runs === 0 ? 'none' : count(runs, 'run'));
  });
}

export const clipping = partsChecks<'clipping'>(({ maxRuns }, measurement, parts) =>
  ruleOnClipping(maxRuns, measurement, parts),
);
