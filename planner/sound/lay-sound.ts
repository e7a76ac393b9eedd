import type { ManifestClip } from '../../jobs/manifest/manifest.js';
import { type PicturePlace, placeInSound, type SoundPlace } from '../../jobs/manifest/sound-place.js';
import { spanPath } from '../../jobs/manifest/span-path.js';
import type { LaidSound } from '../../jobs/plan/laid-sound.js';
import { count, firstOf, grouped } from '../../jobs/words/numbers.js';
import { quantity } from '../../jobs/words/quantities.js';
import { parseRational } from '../../signal/rational.js';
import { parseTimecode } from '../../signal/timecode.js';
import type { PictureFacts } from '../stated-facts.js';

/** The word of the manifest for the sound that was recorded meanwhile, whatever its name. */
const BY_TIMECODE = 'timecode';

/** Sound to lay into the outputs of a clip, null for its own; or why the one that is asked for cannot be. */
export type Laying =
  | { readonly ok: true; readonly laid: LaidSound | null }
  | { readonly ok: false; readonly reason: string; readonly next: string };

export interface LayingWish {
  /** `soundFrom` of the manifest. */
  readonly from: string | null | undefined;
  readonly facts: PictureFacts;
  /** As the manifest states it, or else the file. */
  readonly startTimecode: string | null;
  /** All clips of the manifest, and those of them that nothing skips. */
  readonly clips: readonly ManifestClip[];
  readonly kept: readonly ManifestClip[];
  readonly pathOf: (file: string) => string;
}

/**
 * Finds the sound recorded apart that a manifest lays into a clip, and where the clip lies in it. By timecode
 * it has to be a single file: recordings of two days, or of two recorders, carry the same times. Pure.
 */
export function soundToLay({ from, facts, startTimecode, clips, kept, pathOf }: LayingWish): Laying {
  if (from == null) return { ok: true, laid: null };
  const picture = pictureOf(facts, startTimecode);
  if (typeof picture === 'string') {
    return refused(
      `sound recorded apart cannot be laid by timecode: ${picture}`,
      'write startTimecode of the clip into the manifest',
    );
  }
  const files = from === BY_TIMECODE ? kept.filter(isSound) : clips.filter(({ file }) => file === from);
  const [named] = files;
  if (named === undefined) {
    return from === BY_TIMECODE
      ? refused('the manifest has no sound recorded apart', ADD_IT)
      : refused(`soundFrom: names ${from}, which is not among the clips of the manifest`, ADD_IT);
  }
  const placed = files.map((sound) => ({ sound, ...soundIn(sound, picture) }));
  if (from !== BY_TIMECODE) {
    const [only] = placed;
    if (only === undefined) throw new Error('a file that was found is placed');
    return laidFrom(only, pathOf);
  }
  const overlapping = placed.filter(({ place }) => place.reason === null && isOver(place));
  const whole = overlapping.filter(({ place }) => place.reason === null && coversAll(place));
  const sure = whole.length > 0 ? whole : overlapping;
  const [found, ...others] = sure;
  if (found !== undefined && others.length === 0) return laidFrom(found, pathOf);
  if (found === undefined) {
    const apart = placed.flatMap(({ sound, place }) =>
      place.reason === null ? [] : [`${sound.file}: ${place.reason}`],
    );
    const why = apart.length === 0 ? '' : ` (${firstOf(apart, 2)})`;
    return refused(`no sound recorded apart overlaps it in timecode${why}`, OWN_OR_NAMED);
  }
  const names = firstOf(
    sure.map(({ sound }) => sound.file),
    3,
  );
  return refused(
    `${count(sure.length, 'file')} of sound recorded apart overlap it in timecode: ${names}`,
    'name the one that belongs to it: soundFrom: FILE; files of one track each have to be joined to one first',
  );
}

const ADD_IT = 'add its folder to the manifest: goodgate scan FOLDER --add -o MANIFEST';
const OWN_OR_NAMED =
  'set soundFrom: null for this clip to use its own sound, or correct startTimecode of the one that is wrong';

function refused(reason: string, next: string): Laying {
  return { ok: false, reason, next };
}

function isSound({ facts }: ManifestClip): boolean {
  return facts !== undefined && facts.video === null && facts.audio.length > 0;
}

/** The picture on the clock of its timecode, or what is missing. */
function pictureOf({ video, container }: PictureFacts, start: string | null): PicturePlace | string {
  const rate = video.frameRate === null ? null : parseRational(video.frameRate);
  if (rate === null) return 'the clip declares no frame rate';
  if (start === null) return 'the clip has no start timecode';
  const { timecode, reason } = parseTimecode(start, rate);
  if (timecode === null) return `the start timecode of the clip is none: ${reason}`;
  const seconds = video.durationSeconds ?? container.durationSeconds;
  const frames = video.constantRate === false ? null : (video.steady?.frames ?? video.frames);
  if (frames !== null && frames > 0) {
    return { first: timecode, length: { num: BigInt(frames * rate.den), den: BigInt(rate.num) } };
  }
  if (seconds === null || seconds <= 0) return 'the length of the clip is not known';
  return { first: timecode, length: { num: BigInt(Math.round(seconds * 1e6)), den: 1_000_000n } };
}

type Found = Extract<SoundPlace, { readonly reason: null }>;

interface Placed {
  readonly sound: ManifestClip;
  readonly sampleRate: number;
  readonly place: SoundPlace;
}

function soundIn(sound: ManifestClip, picture: PicturePlace): Omit<Placed, 'sound'> {
  const tracks = sound.facts?.audio ?? [];
  const [first] = tracks;
  const sampleRate = first?.sampleRate ?? 0;
  const not = (reason: string) => ({ sampleRate, place: { reason } });
  if (first === undefined) return not('no sound could be read of it');
  if (sound.facts?.video !== null) return not('it has a picture: only sound recorded apart is laid');
  if (tracks.some((track) => track.sampleRate !== sampleRate)) return not('its tracks differ in sample rate');
  const misread = tracks.find((track) => track.misread !== undefined)?.misread;
  if (misread !== undefined) return not(`it would be decoded as noise: ${misread}`);
  const seconds = first.durationSeconds ?? sound.facts.container.durationSeconds;
  if (seconds === null) return not('its length is not known');
  return { sampleRate, place: placeInSound(sound, { sampleRate, seconds }, picture) };
}

function isOver({ covers }: Found): boolean {
  return covers.to > covers.from;
}

function coversAll({ covers, samples }: Found): boolean {
  return covers.from === 0 && covers.to === samples;
}

function laidFrom({ sound, sampleRate, place }: Placed, pathOf: LayingWish['pathOf']): Laying {
  const { file, parts = [], facts } = sound;
  if (place.reason !== null) {
    return refused(
      `the sound of ${file} cannot be laid: ${place.reason}`,
      'write startTimecode of the sound into the manifest, as the clip counts it, or set soundFrom: null for this clip',
    );
  }
  if (facts === undefined || !isOver(place)) {
    return refused(
      `the sound of ${file} does not overlap it in timecode: it runs from ${place.words}`,
      OWN_OR_NAMED,
    );
  }
  const { bytes, modified, audio } = facts;
  const { from, samples, covers } = place;
  const path = spanPath(pathOf(file), parts.map(pathOf));
  return {
    ok: true,
    laid: { path, name: file, bytes, modified, audio, sampleRate, from, samples, covers },
  };
}

/** What a plan says of it, for the notes: which file, where the clip lies in it, how much it covers. */
export function laidWords({ name, sampleRate, from, samples, covers }: LaidSound): string {
  const at =
    from >= 0
      ? `the clip begins ${exactly(from, sampleRate)} into it`
      : `it begins ${exactly(-from, sampleRate)} after the clip`;
  const covered = covers.to - covers.from;
  const much =
    covered === samples
      ? 'it covers the whole clip'
      : `it covers ${quantity(covered / sampleRate, 's')} of ${quantity(samples / sampleRate, 's')}`;
  return `the sound of ${name} is laid in place of its own, by timecode: ${at}; ${much}`;
}

/** What is lost by it, each as one sentence. */
export function laidLosses({ name, sampleRate, samples, covers }: LaidSound, own: number): string[] {
  const silent = [
    { where: 'at its start', samples: covers.from },
    { where: 'at its end', samples: samples - covers.to },
  ].filter(({ samples }) => samples > 0);
  return [
    ...(own === 0
      ? []
      : [
          `${own === 1 ? 'the sound track of the clip is' : `the ${own} sound tracks of the clip are`} left out for ${name}`,
        ]),
    ...silent.map(
      (gap) =>
        `silence of ${quantity(gap.samples / sampleRate, 's')} ${gap.where}: ${name} has no sound there`,
    ),
  ];
}

function exactly(samples: number, sampleRate: number): string {
  return `${quantity(samples / sampleRate, 's')} (${grouped(samples)} samples)`;
}
