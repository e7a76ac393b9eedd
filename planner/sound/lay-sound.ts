import { BY_TIMECODE, type ManifestClip, type SoundFrom } from '../../jobs/manifest/manifest.js';
import {
  isDuring,
  isMeanwhile,
  isSoundApart,
  type PicturePlace,
  type PlacedSound,
  pictureClock,
  placeOf,
  type SoundPlace,
} from '../../jobs/manifest/sound-place.js';
import { spanPath } from '../../jobs/manifest/span-path.js';
import type { LaidSound } from '../../jobs/plan/laid-sound.js';
import { count, firstOf } from '../../jobs/words/numbers.js';
import type { PictureFacts } from '../stated-facts.js';

/** Sound to lay into the outputs of a clip, or why the one that is asked for cannot be. */
export type Laying =
  | {
      readonly ok: true;
      /** File by file; null: the clip keeps its own. */
      readonly laid: readonly LaidSound[] | null;
      /** What a person should know of it. */
      readonly notes: readonly string[];
    }
  | { readonly ok: false; readonly reason: string; readonly next: string };

/** A clip of the manifest that cannot be read now, and why. */
export interface UnreadClip {
  readonly clip: ManifestClip;
  readonly reason: string;
}

export interface LayingWish {
  /** `soundFrom` of the manifest. */
  readonly from: SoundFrom | null | undefined;
  /** The clip itself says so, not `defaults` or a rule, which hold for clips without such sound too. */
  readonly isOwn: boolean;
  readonly facts: PictureFacts;
  /** As the manifest states it, or else the file. */
  readonly startTimecode: string | null;
  /** All clips of the manifest, and those of them that nothing skips. */
  readonly clips: readonly ManifestClip[];
  readonly kept: readonly ManifestClip[];
  readonly unread: readonly UnreadClip[];
  readonly pathOf: (file: string) => string;
}

/** Clips that say themselves which sound is laid into them, and do not have it from a rule or `defaults`. */
export function statingSound(clips: readonly ManifestClip[]): ReadonlySet<string> {
  return new Set(clips.flatMap(({ file, soundFrom }) => (soundFrom === undefined ? [] : [file])));
}

const NOTHING: Laying = { ok: true, laid: null, notes: [] };

/** Finds the sound recorded apart that a manifest lays into a clip, and where the clip lies in it. Pure. */
export function soundToLay(wish: LayingWish): Laying {
  const { from, facts, startTimecode } = wish;
  if (from == null) return NOTHING;
  const picture = pictureClock(facts, startTimecode);
  if (from === BY_TIMECODE) return byTimecode(wish, picture);
  if (typeof picture === 'string') {
    return refused(
      `sound recorded apart cannot be laid by timecode: ${picture}`,
      'write startTimecode of the clip into the manifest',
    );
  }
  return byName([from].flat(), wish, picture);
}

function byName(names: readonly string[], wish: LayingWish, picture: PicturePlace): Laying {
  const found: PlacedSound[] = [];
  for (const name of names) {
    const gone = wish.unread.find(({ clip }) => clip.file === name);
    if (gone !== undefined) return refused(`the sound of ${name} cannot be laid: ${gone.reason}`, PUT_BACK);
    const sound = wish.clips.find(({ file }) => file === name);
    if (sound === undefined) {
      return refused(`soundFrom: names ${name}, which is not among the clips of the manifest`, ADD_IT);
    }
    if (sound.facts !== undefined && sound.facts.video !== null) {
      return refused(
        `soundFrom: names ${name}, which has a picture: only sound recorded apart is laid`,
        'name a file of sound, or set soundFrom: null for this clip to use its own sound',
      );
    }
    found.push(placeOf(sound, picture));
  }
  return laidFrom(found, wish);
}

/**
 * By timecode it has to be a single file: recordings of two recorders carry the same times. Where none was
 * recorded meanwhile, a clip that itself asks for it is refused, and others keep their own sound.
 */
function byTimecode(wish: LayingWish, picture: PicturePlace | string): Laying {
  const kept = wish.facts.audio.length === 0 ? 'it stays without sound' : 'its own sound is kept';
  const without = (reason: string, next: string): Laying =>
    wish.isOwn
      ? refused(reason, next)
      : { ok: true, laid: null, notes: [`${kept}: ${reason}; if that is wrong, ${next}`] };
  if (typeof picture === 'string')
    return without(picture, 'write startTimecode of the clip into the manifest');
  const placed = wish.kept.filter(isSoundApart).map((sound) => placeOf(sound, picture));
  const during = placed.filter(isMeanwhile);
  const lost = wish.unread
    .filter(({ clip }) => isSoundApart(clip))
    .find(({ clip }) => isMeanwhile(placeOf(clip, picture)));
  if (lost !== undefined) {
    return refused(
      `the sound of ${lost.clip.file}, which was recorded meanwhile, cannot be laid: ${lost.reason}`,
      PUT_BACK,
    );
  }
  const whole = during.filter(({ place }) => place.reason === null && coversAll(place));
  const sure = whole.length > 0 ? whole : during;
  if (sure.length === 1) return laidFrom(sure, wish);
  if (sure.length > 1) {
    const names = firstOf(
      sure.map(({ sound }) => sound.file),
      3,
    );
    return refused(
      `${count(sure.length, 'file')} of sound recorded apart overlap it in timecode: ${names}`,
      'name the one that belongs to it: soundFrom: FILE; of files of one track each, all: soundFrom: [FILE, FILE]',
    );
  }
  if (placed.length === 0) return without('the manifest has no sound recorded apart', ADD_IT);
  return without(`no sound recorded apart overlaps it in timecode${whyNot(placed)}`, NAME_OR_CORRECT);
}

/** Of files that might have been meant: why they are not. */
function whyNot(placed: readonly PlacedSound[]): string {
  const apart = placed.flatMap((each) => {
    const why = each.place.reason ?? (isDuring(each) ? each.otherDay : null);
    return why === null ? [] : [`${each.sound.file}: ${why}`];
  });
  return apart.length === 0 ? '' : ` (${firstOf(apart, 2)})`;
}

const ADD_IT = 'add its folder to the manifest: goodgate scan FOLDER --add -o MANIFEST';
const PUT_BACK = 'put the file back, or set soundFrom: null for this clip to use its own sound';
const OWN_OR_CORRECT =
  'set soundFrom: null for this clip to use its own sound, or correct startTimecode of the one that is wrong';
const NAME_OR_CORRECT = 'name the file that belongs to it: soundFrom: FILE, or correct startTimecode';

function refused(reason: string, next: string): Laying {
  return { ok: false, reason, next };
}

type Found = Extract<SoundPlace, { readonly reason: null }>;

function coversAll({ covers, samples }: Found): boolean {
  return covers.from === 0 && covers.to === samples;
}

function laidFrom(placed: readonly PlacedSound[], { pathOf }: Pick<LayingWish, 'pathOf'>): Laying {
  const laid: LaidSound[] = [];
  const notes: string[] = [];
  for (const { sound, sampleRate, place, otherDay } of placed) {
    const { file, parts = [], facts } = sound;
    if (place.reason !== null) {
      return refused(
        `the sound of ${file} cannot be laid: ${place.reason}`,
        'write startTimecode of the sound into the manifest, as the clip counts it, or set soundFrom: null for this clip',
      );
    }
    if (facts === undefined || !isDuring({ place })) {
      return refused(
        `the sound of ${file} does not overlap it in timecode: it runs from ${place.words()}`,
        OWN_OR_CORRECT,
      );
    }
    if (otherDay !== null) notes.push(`look whether ${file} belongs to it: ${otherDay}`);
    const { bytes, modified, audio } = facts;
    const { from, samples, covers } = place;
    const path = spanPath(pathOf(file), parts.map(pathOf));
    laid.push({ path, name: file, bytes, modified, audio, sampleRate, from, samples, covers });
  }
  const [first, ...others] = laid;
  const other = others.find(({ sampleRate }) => sampleRate !== first?.sampleRate);
  if (first !== undefined && other !== undefined) {
    return refused(
      `${first.name} has ${first.sampleRate} samples a second, ${other.name} has ${other.sampleRate}: they are no tracks of one take`,
      'name files of one recorder, or convert one of them first',
    );
  }
  return { ok: true, laid, notes };
}
