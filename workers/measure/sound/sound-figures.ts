import type { AudioFacts } from '../../../jobs/manifest/facts.js';
import type { SoundCurve } from '../../../jobs/measurement/measured-curves.js';
import type { CodedLoudness } from '../../../jobs/measurement/measured-sound.js';
import type { AudioMeasurement, MeasuredEvent, Measurement } from '../../../jobs/measurement/measurement.js';
import { count } from '../../../jobs/words/numbers.js';
import { quantity } from '../../../jobs/words/quantities.js';
import type { Rational } from '../../../signal/rational.js';
import type { Timestamps } from '../decoding/timeline.js';
import type { FrameClock } from '../figures/frame-ranges.js';
import { formatText, type SoundLog } from '../reading/sound-log.js';
import { soundEvents } from './sound-events.js';
import type { SoundFigures } from './sound-meter.js';
import { soundFrames } from './sound-place.js';

export type StreamOutcome =
  | { readonly kind: 'done'; readonly figures: SoundFigures }
  | { readonly kind: 'failed'; readonly why: string };

/** Data of the sound when ffmpeg has ended. */
export interface GatheredSound {
  readonly streams: readonly AudioFacts[];
  readonly answer:
    | { readonly kind: 'done'; readonly outcomes: readonly StreamOutcome[] }
    | { readonly kind: 'died'; readonly why: string }
    | null;
  /** Absent: changes of sample rate or layout within the stream are not detected. */
  readonly log: SoundLog;
  /** The loudness each stream declares. */
  readonly codedLoudness: readonly (CodedLoudness | null)[];
  readonly clock: FrameClock;
  readonly frameRate: Rational | null;
  /** Time stamps of the picture, null without. */
  readonly picture: Timestamps | null;
}

export interface SoundResult {
  readonly audio: AudioMeasurement[];
  readonly curves: SoundCurve[];
  readonly events: MeasuredEvent[];
  readonly unmeasured: Measurement['unmeasured'];
}

const NO_FIGURES = {
  integratedLufs: null,
  loudnessRange: null,
  maxMomentaryLufs: null,
  maxShortTermLufs: null,
  truePeakDbtp: null,
  samplePeakDbfs: null,
  content: null,
};

/** Turns the results of the sound thread into the sound section of the measurement. Pure. */
export function soundFigures(gathered: GatheredSound): SoundResult {
  const result: SoundResult = { audio: [], curves: [], events: [], unmeasured: [] };
  for (const index of gathered.streams.keys()) readStream(gathered, index, result);
  return result;
}

function readStream(gathered: GatheredSound, index: number, result: SoundResult): void {
  const { streams, answer, log, clock, frameRate } = gathered;
  const stream = streams[index];
  if (!stream) return;
  const note = (figure: string, why: string): void => {
    result.unmeasured.push({ what: `audio[${index}]${figure}`, why });
  };
  const outcome = answer?.kind === 'done' ? answer.outcomes[index] : undefined;
  const figures = outcome?.kind === 'done' ? outcome.figures : null;
  const samples = figures?.samples ?? 0;
  const described = {
    stream: stream.stream,
    codec: stream.codec,
    channels: stream.channels,
    layout: stream.layout,
    sampleRate: stream.sampleRate,
    bitDepth: stream.bitDepth,
    samples,
    durationSeconds: samples / stream.sampleRate,
    startSeconds: startAfterPicture(gathered, index),
    codedLoudness: gathered.codedLoudness[index] ?? null,
  };

  const changes = changeEvents(described, log, index, clock, frameRate);
  result.events.push(...changes);
  const obstacle =
    figures === null
      ? outcome?.kind === 'failed'
        ? outcome.why
        : answer?.kind === 'died'
          ? answer.why
          : 'the sound was not measured'
      : figures.invalidSamples > 0
        ? `${count(figures.invalidSamples, 'sample')} are not finite numbers`
        : (stream.misread ?? mismatch(stream, log, index) ?? changes[0]?.detail ?? null);
  if (figures === null || obstacle !== null) {
    note('', obstacle ?? 'the sound was not measured');
    result.audio.push({ ...described, ...NO_FIGURES });
    return;
  }

  if (figures.weighting === 'assumed') {
    note('.integratedLufs', `the channel layout is not known (${stream.channels} channels without a layout)`);
  }
  const audio: AudioMeasurement = {
    ...described,
    integratedLufs: figures.integratedLufs,
    loudnessRange: figures.loudnessRange,
    maxMomentaryLufs: figures.maxMomentaryLufs,
    maxShortTermLufs: figures.maxShortTermLufs,
    truePeakDbtp: figures.truePeakDbtp,
    samplePeakDbfs: figures.samplePeakDbfs,
    content: figures.content,
  };
  result.audio.push(audio);
  result.curves.push({ stream: stream.stream, ...figures.curve });
  result.events.push(...soundEvents(audio, clock, frameRate));
}

/** ffmpeg counts both times from the start of the file. */
function startAfterPicture({ log, picture }: GatheredSound, index: number): number | null {
  const sound = log.startSeconds(index) ?? null;
  const first = picture?.ticks[0];
  if (sound === null || picture === null || first === undefined) return null;
  return sound - (first * picture.timeBase.num) / picture.timeBase.den;
}

/**
 * The headers declare another rate or number of channels than the decoder gives: all figures were computed
 * with the wrong ones.
 */
function mismatch(stream: AudioFacts, log: SoundLog, index: number): string | null {
  const first = log.first(index);
  if (first === null) return null;
  if (first.sampleRate === stream.sampleRate && first.channels === stream.channels) return null;
  return `the headers declare ${stream.sampleRate} Hz and ${stream.channels} channels, the decoder outputs ${formatText(first)}`;
}

/**
 * After a change ffmpeg converts to the first format: its output is then no longer the samples of the file.
 */
function changeEvents(
  audio: Pick<AudioMeasurement, 'stream' | 'sampleRate' | 'startSeconds'>,
  log: SoundLog,
  index: number,
  clock: FrameClock,
  frameRate: Rational | null,
): MeasuredEvent[] {
  const start = log.startSeconds(index) ?? 0;
  return log.changes(index).map(({ seconds, before, after }) => {
    const sample = Math.max(0, Math.round(((seconds ?? start) - start) * audio.sampleRate));
    const { from, to } = soundFrames({ from: sample, to: sample + 1 }, audio, frameRate);
    const range =
      frameRate === null ? { from, to, fromTimecode: null, toTimecode: null } : clock.range(from, to);
    const at = seconds === null ? '' : `, at ${quantity(seconds - start, 's')}`;
    const detail = `stream ${audio.stream}${at}: the sound changes from ${formatText(before)} to ${formatText(after)}`;
    return { kind: 'sound-format-change', ...range, detail };
  });
}
