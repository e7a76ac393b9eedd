import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { type LaidSound, laidNames } from '../../../jobs/plan/laid-sound.js';
import { quantity } from '../../../jobs/words/quantities.js';
import { parseRational, toNumber } from '../../../signal/rational.js';
import { wrongSoundText } from '../../compare/words.js';
import { doubtAbout } from '../doubt.js';
import type { JudgeContext } from '../requirement.js';
import { doubtful, met, metIf, missed, type Ruling, type Rulings, unmeasured } from '../ruling.js';
import { isMeasured } from './damage.js';

/**
 * Sound may differ from the original's by a frame of picture, or by the padding of lossy coding (two blocks
 * of 1024 samples) where frames are shorter.
 */
const SOUND_TOLERANCE_SECONDS = 0.05;
/**
 * Below this a side or a track counts as silent: recorder and coding noise lies there (common practice, no
 * source).
 */
const SILENT_DBFS = -60;
/** Lossy coding and another sample rate change the level of a side by less than this, dB. */
const LEVEL_TOLERANCE_DB = 3;

type Original = Measurement | ClipFacts;
type StereoPart = NonNullable<NonNullable<NonNullable<JudgeContext['sound']>>['stereo']>[number];

const AGAIN_WITH_SOUND = 'Make the copy again with the sound.';

/**
 * Compares the sound of a copy with that of its original. Where it is known how the copy was mixed, each side
 * is compared with its sources, and tracks that were left out though nobody chose so are named.
 *
 * @param all every stream and channel must be there
 * @param made how the sound of the copy was mixed; undefined where that is not known
 */
export function soundRuling(
  all: boolean,
  measurement: Measurement,
  original: Original,
  made: JudgeContext['sound'],
): Rulings {
  if (made?.laid !== undefined) return laidRuling(all, measurement, made, made.laid);
  if (original.audio.length === 0) return met('the original has no sound');
  if (measurement.audio.length === 0) {
    return missed('no sound, the original has some', { advice: AGAIN_WITH_SOUND });
  }
  const has = channelsOf(measurement);
  const had = channelsOf(original);
  if (all && has !== had) {
    const advice = 'Make the copy again with every stream and channel.';
    return missed(`channels by stream: ${has}, the original's ${had}`, { advice });
  }
  const parts = made?.stereo ?? null;
  if (made === undefined || made === null || parts === null) {
    return measurement.audio.map((_, index) => lengthRuling(index, [index], measurement, original));
  }
  const taken = parts.map(({ stream }) => original.audio.findIndex((track) => track.stream === stream));
  return [
    lengthRuling(0, taken, measurement, original),
    ...(isMeasured(original) ? levelRulings(measurement, original, parts) : []),
    ...(made.chosen ? [] : leftOutRulings(original, parts)),
  ];
}

/** Sound recorded apart was laid in place of the clip's own: the copy is held against that alone. */
function laidRuling(
  all: boolean,
  measurement: Measurement,
  { stereo }: NonNullable<JudgeContext['sound']>,
  laid: readonly LaidSound[],
): Rulings {
  const names = laidNames(laid);
  const again = `Make the copy again with the sound of ${names}.`;
  if (measurement.audio.length === 0)
    return missed(`no sound, though ${names} ${laid.length === 1 ? 'was' : 'were'} laid`, { advice: again });
  const has = channelsOf(measurement);
  const had = stereo === null ? channelsOf({ audio: laid.flatMap(({ audio }) => audio) }) : '2';
  if (all && has !== had) return missed(`channels by stream: ${has}, laid were ${had}`, { advice: again });
  // All of them are cut to the clip.
  const seconds = Math.max(...laid.map(({ samples, sampleRate }) => samples / sampleRate));
  const lengths = measurement.audio.map(({ durationSeconds }, index): Ruling => {
    const doubt = doubtAbout(measurement, `audio[${index}].durationSeconds`);
    if (doubt !== null) return unmeasured(doubt, 'Measure the copy again, with its sound.');
    const measured = `sound of ${quantity(durationSeconds, 's')}, for a clip of ${quantity(seconds, 's')}`;
    return metIf(Math.abs(durationSeconds - seconds) <= toleranceOf(measurement), measured, again);
  });
  const { soundComparison } = measurement;
  const doubt = doubtAbout(measurement, 'soundComparison');
  const wrong = (soundComparison ?? []).filter(({ mistakes }) => mistakes.length > 0);
  const held =
    soundComparison === null
      ? [unmeasured(doubt ?? `it was not held against ${names}`, again)]
      : [
          ...wrong.map((found) => missed(`${wrongSoundText(found)}, against ${names}`, { advice: again })),
          ...(doubt === null ? [] : [unmeasured(doubt, `Listen to the copy beside ${names}.`)]),
        ];
  return [...lengths, ...(held.length > 0 ? held : [met(`the sound of ${names}, in step`)])];
}

function toleranceOf({ video }: Measurement): number {
  const rate = parseRational(video?.frameRate ?? '');
  return Math.max(SOUND_TOLERANCE_SECONDS, rate === null ? 0 : 1 / toNumber(rate)) + 1e-6;
}

/** `2+1+1`: channels of each stream. */
function channelsOf({ audio }: { readonly audio: readonly { readonly channels: number }[] }): string {
  return audio.map(({ channels }) => channels).join('+');
}

/** Length of one stream of the copy against the longest of the streams it was made of. */
function lengthRuling(
  index: number,
  sources: readonly number[],
  measurement: Measurement,
  original: Original,
): Ruling {
  const copy = measurement.audio[index];
  const streams = sources.flatMap((source) => original.audio[source] ?? []);
  if (copy === undefined || streams.length === 0) return missed('the original has no such sound');
  const subjects = sources.map((source) => `audio[${source}].durationSeconds`);
  const doubt =
    doubtAbout(measurement, `audio[${index}].durationSeconds`) ??
    (isMeasured(original)
      ? (subjects.map((subject) => doubtAbout(original, subject)).find((each) => each !== null) ?? null)
      : null);
  if (doubt !== null) return unmeasured(doubt, 'Measure copy and original again, with their sound.');
  // Matroska and others declare no length of a stream; measuring the original gives it.
  const lengths = streams.flatMap(({ durationSeconds }) => durationSeconds ?? []);
  if (lengths.length < streams.length) {
    return unmeasured('the original declares no length of its sound', 'Measure the original too.');
  }
  const longest = Math.max(...lengths);
  const off = copy.durationSeconds - longest;
  const measured = `sound of ${quantity(copy.durationSeconds, 's')}, the original's ${quantity(longest, 's')}`;
  return metIf(
    Math.abs(off) <= toleranceOf(measurement),
    measured,
    'Make the copy again: its sound is not complete.',
  );
}

/**
 * Compares each side with its source channels: it must not be silent where they are not, and no louder than
 * their sum can be.
 */
function levelRulings(
  measurement: Measurement,
  original: Measurement,
  parts: readonly StereoPart[],
): Ruling[] {
  const copy = measurement.audio[0]?.content?.channels;
  if (copy === undefined || copy.length !== 2) return [];
  return (['left', 'right'] as const).flatMap((side, index) => {
    const sources = sourcesOf(original, parts, side);
    if (sources === null || sources.length === 0) return [];
    const has = copy[index]?.rmsDbfs ?? Number.NEGATIVE_INFINITY;
    const most = decibels(sources.reduce((sum, level) => sum + 10 ** (level / 20), 0));
    // Several channels may partly cancel: only a single source gives a lowest level.
    const least = sources.length === 1 ? most - LEVEL_TOLERANCE_DB : SILENT_DBFS;
    if (most < SILENT_DBFS + LEVEL_TOLERANCE_DB) return [];
    const measured = `${side} at ${shown(has)}, of ${sources.length === 1 ? 'a channel' : 'channels'} at up to ${shown(most)}`;
    return [
      metIf(
        has >= least && has <= most + LEVEL_TOLERANCE_DB,
        measured,
        `${AGAIN_WITH_SOUND} Listen to it first.`,
      ),
    ];
  });
}

/** RMS of every channel that goes to a side, at its gain, dBFS; null where one was not measured. */
function sourcesOf(
  original: Measurement,
  parts: readonly StereoPart[],
  side: 'left' | 'right',
): readonly number[] | null {
  const levels: number[] = [];
  for (const part of parts) {
    const content = original.audio.find(({ stream }) => stream === part.stream)?.content;
    if (content === null || content === undefined) return null;
    part[side].forEach((gain, channel) => {
      const level = content.channels[channel]?.rmsDbfs ?? null;
      if (gain > 0 && level !== null) levels.push(level + decibels(gain));
    });
  }
  return levels;
}

/**
 * Tracks, and channels without names, that are on neither side and hold sound. Which tracks a copy takes is a
 * rule that the plan states: tracks beside those are worth a look only where what was taken is silent.
 */
function leftOutRulings(original: Original, parts: readonly StereoPart[]): Ruling[] {
  const heardIn = (index: number) => {
    const content = isMeasured(original) ? (original.audio[index]?.content ?? null) : null;
    return (channel: number): boolean =>
      content === null || (content.channels[channel]?.rmsDbfs ?? Number.NEGATIVE_INFINITY) > SILENT_DBFS;
  };
  const takesSound = original.audio.some(({ stream, channels }, index) => {
    const isTaken = parts.some((part) => part.stream === stream);
    return isTaken && Array.from({ length: channels }, (_, channel) => channel).some(heardIn(index));
  });
  const byRule: string[] = [];
  const names = original.audio.flatMap((track, index) => {
    const isHeard = heardIn(index);
    const part = parts.find(({ stream }) => stream === track.stream);
    const channels = Array.from({ length: track.channels }, (_, channel) => channel).filter(isHeard);
    if (part === undefined) {
      if (channels.length === 0) return [];
      if (!takesSound) return [`track ${index + 1}`];
      byRule.push(`track ${index + 1}`);
      return [];
    }
    // A fold-down by loudspeaker leaves out the LFE on purpose.
    if (track.layout !== null) return [];
    const out = channels.filter((channel) => part.left[channel] === 0 && part.right[channel] === 0);
    return out.length > 0
      ? [
          `channel${out.length > 1 ? 's' : ''} ${out.map((channel) => channel + 1).join(', ')} of track ${index + 1}`,
        ]
      : [];
  });
  const stated = byRule.length === 0 ? [] : [met(`without ${byRule.join(', ')}, as planned`)];
  if (names.length === 0) return stated;
  return [
    ...stated,
    doubtful(
      `left out of the original's sound: ${names.join(', ')}`,
      'Listen whether they are needed; set the tracks to use in the manifest (`sound: [1, 2]` or `mix`).',
    ),
  ];
}

function decibels(factor: number): number {
  return 20 * Math.log10(factor);
}

function shown(level: number): string {
  return Number.isFinite(level) ? `${quantity(level, 'dBFS')} RMS` : 'silence';
}
