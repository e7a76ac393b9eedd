import { parseRational, type Rational } from '../../signal/rational.js';
import {
  formatTimecode,
  frameOfTimecode,
  framesPerDay,
  parseTimecode,
  type Timecode,
  timecodeOfFrame,
} from '../../signal/timecode.js';
import type { ClipFacts, VideoFacts } from './facts.js';
import type { ManifestClip } from './manifest.js';
import { recordedDaysApart } from './recording-day.js';

/** Seconds since midnight, exact: at 30000/1001 a label is no whole number of samples. */
interface Moment {
  readonly ticks: bigint;
  readonly perSecond: bigint;
}

/** A picture on the clock of its timecode. */
export interface PicturePlace {
  readonly first: Timecode;
  /** Length in seconds, as a fraction. */
  readonly length: { readonly num: bigint; readonly den: bigint };
  /** What tells the day of its recording. */
  readonly recorded: Pick<ClipFacts['container'], 'tags'>;
}

/** What `pictureClock` asks of a clip: its facts as the manifest corrects them. */
export type PictureFacts = Pick<ClipFacts, 'container'> & { readonly video: VideoFacts };

/**
 * The picture on the clock of its timecode, or what is missing. Pure.
 *
 * @param start its timecode, as the manifest states it, or else the file
 */
export function pictureClock(
  { video, container }: PictureFacts,
  start: string | null,
): PicturePlace | string {
  const rate = video.frameRate === null ? null : parseRational(video.frameRate);
  if (rate === null) return 'the clip declares no frame rate';
  if (start === null) return 'the clip has no start timecode';
  const { timecode, reason } = parseTimecode(start, rate);
  if (timecode === null) return `the start timecode of the clip is none: ${reason}`;
  const seconds = video.durationSeconds ?? container.durationSeconds;
  const frames = video.constantRate === false ? null : (video.steady?.frames ?? video.frames);
  const at = { first: timecode, recorded: container };
  if (frames !== null && frames > 0) {
    return { ...at, length: { num: BigInt(frames * rate.den), den: BigInt(rate.num) } };
  }
  if (seconds === null || seconds <= 0) return 'the length of the clip is not known';
  return { ...at, length: { num: BigInt(Math.round(seconds * 1e6)), den: 1_000_000n } };
}

/** A file of sound, and where a clip lies in it. */
export interface PlacedSound {
  readonly sound: ManifestClip;
  /** Hz; 0 where it has no sound. */
  readonly sampleRate: number;
  readonly place: SoundPlace;
  /** What their dates say, where these are more than a day apart: timecodes are the same every day. */
  readonly otherDay: string | null;
}

/** Whether a clip is sound recorded apart. */
export function isSoundApart({ facts }: Pick<ManifestClip, 'facts'>): boolean {
  return facts !== undefined && facts.video === null && facts.audio.length > 0;
}

/**
 * Where a clip lies in sound recorded apart: the one rule for what is named beside it and for what is laid.
 * Pure.
 */
export function placeOf(sound: ManifestClip, picture: PicturePlace): PlacedSound {
  const tracks = sound.facts?.audio ?? [];
  const [first] = tracks;
  const sampleRate = first?.sampleRate ?? 0;
  const not = (reason: string): PlacedSound => ({ sound, sampleRate, place: { reason }, otherDay: null });
  if (first === undefined || sound.facts === undefined) return not('no sound could be read of it');
  if (tracks.some((track) => track.sampleRate !== sampleRate)) return not('its tracks differ in sample rate');
  const misread = tracks.find((track) => track.misread !== undefined)?.misread;
  if (misread !== undefined) return not(`it would be decoded as noise: ${misread}`);
  const seconds = first.durationSeconds ?? sound.facts.container.durationSeconds;
  if (seconds === null) return not('its length is not known');
  const place = placeInSound(sound, { sampleRate, seconds }, picture);
  return { sound, sampleRate, place, otherDay: recordedDaysApart(sound.facts.container, picture.recorded) };
}

/** Whether it was recorded while the clip was, as far as timecodes and dates tell. */
export function isMeanwhile(placed: PlacedSound): boolean {
  return isDuring(placed) && placed.otherDay === null;
}

/** Whether there is sound at some moment of the clip. */
export function isDuring({ place }: Pick<PlacedSound, 'place'>): boolean {
  return place.reason === null && place.covers.to > place.covers.from;
}

/** Where a clip lies in sound recorded apart, in samples of that; or why that cannot be told. */
export type SoundPlace =
  | {
      readonly reason: null;
      /** Sample of the sound at which the clip begins; below zero where the sound begins later. */
      readonly from: number;
      readonly samples: number;
      /** The part of the clip during which there is sound; empty: they do not overlap. */
      readonly covers: { readonly from: number; readonly to: number };
      /** Timecodes from the first to the one after the last, as the clip counts. */
      readonly words: () => string;
    }
  | { readonly reason: string };

/**
 * Places a clip in sound recorded apart, by timecode and to the nearest sample. A timecode that the manifest
 * states goes before what the file says; a time reference counts samples of real time since midnight. Pure.
 *
 * @param sound a clip without picture
 * @param sampleRate of its sound, Hz
 * @param seconds its length
 */
function placeInSound(
  sound: Pick<ManifestClip, 'startTimecode' | 'facts'>,
  { sampleRate, seconds }: { readonly sampleRate: number; readonly seconds: number },
  { first, length }: PicturePlace,
): SoundPlace {
  const start = soundStart(sound, first);
  if (typeof start === 'string') return { reason: start };
  const { num, den } = first.rate;
  const begins: Moment = { ticks: BigInt(frameOfTimecode(first)) * BigInt(den), perSecond: BigInt(num) };
  const rate = BigInt(sampleRate);
  const apart = rounded(
    (begins.ticks * start.perSecond - start.ticks * begins.perSecond) * rate,
    begins.perSecond * start.perSecond,
  );
  const samples = Number(rounded(length.num * rate, length.den));
  const has = Math.round(seconds * sampleRate);
  const coversAt = (from: number) => ({ from: Math.max(0, -from), to: Math.min(samples, has - from) });
  const day = Number(
    rounded(BigInt(framesPerDay(first.rate, first.dropFrame)) * BigInt(den) * rate, BigInt(num)),
  );
  // One of them may have begun before midnight and the other after it.
  const from =
    [0, day, -day]
      .map((days) => Number(apart) + days)
      .find((at) => {
        const covers = coversAt(at);
        return covers.to > covers.from;
      }) ?? Number(apart);
  // A recorder rounds to whole samples: one before a frame is that frame.
  const label = (sample: number): string => {
    const frames = Math.floor(((sample + 1) * num) / (sampleRate * den));
    return formatTimecode(timecodeOfFrame(frameOfTimecode(first) + frames, first.rate, first.dropFrame));
  };
  return {
    ...{ reason: null, from, samples, covers: coversAt(from) },
    words: () => `${label(-from)} to ${label(has - from)}`,
  };
}

/** Rounds to the nearest whole number, halves up. */
function rounded(num: bigint, den: bigint): bigint {
  const doubled = 2n * num + den;
  const floor = doubled / (2n * den);
  return doubled < 0n && doubled % (2n * den) !== 0n ? floor - 1n : floor;
}

/** Where sound begins on the clock of a picture, or why that is not known. */
function soundStart(
  { startTimecode, facts }: Pick<ManifestClip, 'startTimecode' | 'facts'>,
  first: Timecode,
) {
  const { timeReference, startTimecode: declared } = facts?.container ?? {};
  if (startTimecode === undefined && timeReference !== undefined) {
    const { samples, sampleRate, frameRate, dropFrame } = timeReference;
    const stated = frameRate === undefined ? null : parseRational(frameRate);
    if (stated !== null) {
      const drops = dropFrame ?? first.dropFrame;
      if (clockOf(stated, drops) !== clockOf(first.rate, first.dropFrame)) {
        return `its timecode counts ${counted(stated, drops)}, that of the clip ${counted(first.rate, first.dropFrame)}: they run apart`;
      }
    }
    return { ticks: BigInt(samples), perSecond: BigInt(sampleRate) };
  }
  const text = startTimecode ?? declared ?? null;
  if (text === null) return 'it has no time reference and no timecode';
  const { timecode, reason } = parseTimecode(text, first.rate);
  if (timecode === null) return `its start timecode does not fit the clip: ${reason}`;
  return {
    ticks: BigInt(frameOfTimecode(timecode)) * BigInt(first.rate.den),
    perSecond: BigInt(first.rate.num),
  };
}

/**
 * Labels of whole rates keep real time; those of 1000/1001 of them fall behind, with drop frame nearly not.
 */
function clockOf({ den }: Rational, dropFrame: boolean): 'real' | 'slow' | 'drop' {
  return dropFrame ? 'drop' : den === 1 ? 'real' : 'slow';
}

function counted({ num, den }: Rational, dropFrame: boolean): string {
  return `${den === 1 ? num : `${num}/${den}`} frames a second${dropFrame ? ' with drop frame' : ''}`;
}
