import type {
  CodedLoudness,
  QuietRuns,
  SoundChannel,
  SoundContent,
} from '../../../jobs/measurement/measured-sound.js';
import type { AudioMeasurement } from '../../../jobs/measurement/measurement.js';
import { count, grouped, signed } from '../../../jobs/words/numbers.js';
import { figure, percent, quantity } from '../../../jobs/words/quantities.js';
import { duration } from '../../../jobs/words/times.js';
import type { Row } from './row.js';

/** How the container presents a sound stream: see ContainerTrack. */
export interface SoundPresentation {
  /** From the first frame of the picture to the first sample that is presented, seconds. */
  readonly start: number;
  /** What its edit list hides before that, seconds. */
  readonly hidden: number;
}

/**
 * One sound stream.
 * @param presentation null where the container does not tell
 */
export function soundRows(sound: AudioMeasurement, presentation: SoundPresentation | null): Row[] {
  const { content } = sound;
  const rows: Row[] = [
    ['Format', formatText(sound)],
    ['Length', `${duration(sound.durationSeconds)}${beginText(sound.startSeconds, presentation)}`],
    ['Programme loudness', quantity(sound.integratedLufs, 'LUFS')],
    ...statedRows(sound.codedLoudness),
    ['Loudness range', quantity(sound.loudnessRange, 'LU')],
    [
      'Loudest',
      `${quantity(sound.maxMomentaryLufs, 'LUFS')} in 400 ms, ${quantity(sound.maxShortTermLufs, 'LUFS')} in 3 s`,
    ],
    [
      'Peaks',
      `true peak ${quantity(sound.truePeakDbtp, 'dBTP')}, sample peak ${quantity(sound.samplePeakDbfs, 'dBFS')}`,
    ],
  ];
  if (content === null) return [...rows, ['Channels', 'not measured']];
  return [
    ...rows,
    ['Silence', silenceText(content, sound.sampleRate)],
    ['Clipping', clippingText(content, sound.sampleRate)],
    ...phaseRows(content),
    ...sameRows(content),
    ['DC offset', offsetText(content.channels)],
    ...toneRows(content.channels),
  ];
}

function formatText({ codec, layout, channels, sampleRate, bitDepth, content }: AudioMeasurement): string {
  const bits = bitDepth === null ? '' : `, ${bitDepth} bits`;
  const used = (content?.channels ?? []).flatMap(({ usedBits }) => (usedBits === null ? [] : [usedBits]));
  const inUse = used.length === 0 ? '' : ` (${Math.max(...used)} in use)`;
  return `${codec}, ${layout ?? count(channels, 'channel')}, ${sampleRate} Hz${bits}${inUse}`;
}

/** What the coded sound states of itself; nothing where it states nothing. */
function statedRows(stated: CodedLoudness | null): Row[] {
  if (stated === null) return [];
  const levels = stated.levels.map(({ level, frames }) => `${level} dB in ${count(frames, 'frame')}`);
  const reserved = stated.reservedFrames === 0 ? [] : [`none in ${count(stated.reservedFrames, 'frame')}`];
  return [['Dialogue level stated', [...levels, ...reserved].join(', ')]];
}

/** Closer times are the same. */
const SAME_TIME = 0.0005;

/** ffmpeg applies no edit list at the head of a fragmented file: what it hides is decoded, measured too. */
function beginText(seconds: number | null, presentation: SoundPresentation | null): string {
  if (seconds === null) return '';
  if (presentation === null || presentation.hidden < SAME_TIME) return `, begins ${startText(seconds)}`;
  const { start, hidden } = presentation;
  if (Math.abs(start - hidden - seconds) > SAME_TIME) return `, begins ${startText(seconds)}`;
  return `, begins ${startText(start)}, after ${duration(hidden)} that its edit list hides and that are measured too`;
}

function startText(seconds: number): string {
  if (Math.abs(seconds) < SAME_TIME) return 'with the picture';
  return `${duration(Math.abs(seconds))} ${seconds > 0 ? 'after' : 'before'} the picture`;
}

/** Level of the silence that is told, dBFS: common practice, no source. */
const TOLD_SILENCE = -60;

function silenceText({ quiet }: SoundContent, sampleRate: number): string {
  const told = [TOLD_SILENCE, null].map((below) => {
    const runs = quiet.find((level) => level.below === below);
    return `${below === null ? 'zeros' : `at or below ${below} dBFS`}: ${longestText(runs, sampleRate)}`;
  });
  return told.join('; ');
}

function longestText(runs: QuietRuns | undefined, sampleRate: number): string {
  if (runs === undefined) return 'not measured';
  const longest = runs.longest.reduce<{ from: number; to: number } | null>(
    (most, run) => (most === null || run.to - run.from > most.to - most.from ? run : most),
    null,
  );
  if (longest === null) return 'none';
  const seconds = (longest.to - longest.from) / sampleRate;
  return `${count(runs.count, 'run')}, longest ${duration(seconds)} at ${duration(longest.from / sampleRate)}`;
}

function clippingText({ channels }: SoundContent, sampleRate: number): string {
  const runs = channels.reduce((sum, { clipping }) => sum + clipping.runs, 0);
  if (runs === 0) return 'no run of 3 full-scale samples';
  const first = Math.min(...channels.flatMap(({ clipping }) => clipping.places.map(({ from }) => from)));
  const longest = Math.max(...channels.map(({ clipping }) => clipping.longest));
  return `${count(runs, 'run')} of 3 and more full-scale samples, longest ${grouped(longest)}, first at ${duration(first / sampleRate)}`;
}

function speaker({ channels }: SoundContent, index: number): string {
  return channels[index]?.speaker ?? `channel ${index + 1}`;
}

function phaseRows(content: SoundContent): Row[] {
  if (content.pairs === null) return [['Phase', 'which channels are a left and a right one is not stated']];
  return content.pairs.map((pair): Row => {
    const { correlation, lowest, foldDownLossDb } = pair;
    const names = `${speaker(content, pair.left)} and ${speaker(content, pair.right)}`;
    if (correlation === null) return ['Phase', `${names}: one of them is silent`];
    const least = lowest === null ? '' : `, lowest in 400 ms ${signed(lowest.correlation, 2)}`;
    const mono = foldDownLossDb === null ? '' : `; mono loses ${quantity(foldDownLossDb, 'dB')}`;
    return ['Phase', `${names}: correlation ${signed(correlation, 2)}${least}${mono}`];
  });
}

function sameRows(content: SoundContent): Row[] {
  if (content.identical.length === 0) return [];
  const pairs = content.identical.map(
    ({ first, second }) => `${speaker(content, first)} and ${speaker(content, second)}`,
  );
  return [['The same sound', pairs.join(', ')]];
}

function offsetText(channels: readonly SoundChannel[]): string {
  const means = channels.flatMap(({ dcOffset }) => (dcOffset === null ? [] : [Math.abs(dcOffset)]));
  return means.length === 0 ? 'not measured' : `${percent(Math.max(...means))} of full scale`;
}

function toneRows(channels: readonly SoundChannel[]): Row[] {
  const levels = channels.flatMap(({ tone }) => (tone === null ? [] : [tone.levelDbfs]));
  if (levels.length === 0) return [];
  const least = Math.min(...levels);
  const most = Math.max(...levels);
  const level =
    figure(least, 'dBFS') === figure(most, 'dBFS')
      ? quantity(most, 'dBFS')
      : `${figure(least, 'dBFS')} to ${quantity(most, 'dBFS')}`;
  return [['Line-up tone', `1 kHz at ${level} in ${levels.length} of ${count(channels.length, 'channel')}`]];
}
