import type { AudioFacts } from '../../jobs/manifest/facts.js';
import type { SoundChoice } from '../../jobs/manifest/manifest.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';
import type { MakeRecipe } from '../../jobs/targets/target.js';
import { foldToStereo, headroomScale, type StereoGains } from '../../signal/sound/fold-down.js';
import { isUsualOrder, speakersOf } from '../../signal/sound/speakers.js';

type SoundRecipe = OutputRecipe['audio'];
type StereoParts = NonNullable<NonNullable<SoundRecipe>['stereo']>;

type PlannedSound =
  | { readonly ok: true; readonly audio: SoundRecipe }
  | { readonly ok: false; readonly reason: string; readonly next: string };

/**
 * Which tracks an output uses, and how they become two channels where the target is stereo. Tracks are
 * numbered from 1, as on a recorder.
 *
 * By default: the first track, or the first two as left and right where both are mono. Mono goes to both
 * sides at its own level; two channels are left and right; layouts of BS.775 are folded down; of other
 * layouts the first two channels are left and right. `mix` uses all tracks. The sum cannot clip: all gains
 * are scaled together.
 */
export function planSound(
  tracks: readonly AudioFacts[],
  make: MakeRecipe['audio'],
  choice: SoundChoice | undefined,
): PlannedSound {
  if (make === undefined || tracks.length === 0) return { ok: true, audio: null };
  const common = {
    codec: make.codec,
    sampleRate: make.sampleRate ?? null,
    bitRate: make.bitRate ?? null,
  };
  if (make.channels === 'source') {
    const misplaced = tracks.find(({ channels, layout }) => {
      const speakers = speakersOf(channels, layout);
      return speakers !== null && !isUsualOrder(speakers);
    });
    if (misplaced !== undefined) {
      return {
        ok: false,
        reason: `the channels of its sound (stream ${misplaced.stream}) are ordered ${misplaced.layout}, which the copy would not declare`,
        next: 'order the channels as usual first (5.1: FL, FR, FC, LFE, then the surrounds)',
      };
    }
    const streams = tracks.map(({ stream }) => stream);
    return { ok: true, audio: { ...common, streams, stereo: null, chosen: false } };
  }
  const missing = choice === undefined || choice === 'mix' ? [] : choice.filter((n) => n > tracks.length);
  if (missing.length > 0) {
    return {
      ok: false,
      reason: `its sound: setting in the manifest names ${trackWords(missing)}, the clip has ${tracks.length}`,
      next: 'correct sound: of this clip in the manifest; tracks are numbered from 1',
    };
  }
  const taken = takenTracks(tracks, choice);
  const stereo = choice === 'mix' ? mixed(taken) : taken.length === 2 ? sides(taken) : alone(taken);
  if (stereo === null) {
    return {
      ok: false,
      reason:
        'its sound: setting in the manifest names two tracks as left and right, which are not both mono',
      next: 'name one track, or write `sound: mix`',
    };
  }
  return { ok: true, audio: { ...common, streams: [], stereo, chosen: choice !== undefined } };
}

/**
 * The default sound choice, applied to one clip. Where the clip has fewer or other tracks, those it has are
 * used, and `unfit` says so. A choice made for the clip itself must fit exactly.
 */
export function defaultSound(
  tracks: readonly AudioFacts[],
  choice: SoundChoice | undefined,
): { readonly choice: SoundChoice | undefined; readonly unfit?: string } {
  if (choice === undefined || choice === 'mix' || tracks.length === 0) return { choice };
  const asked = `the defaults name ${trackWords(choice)}`;
  const there = choice.filter((number) => number <= tracks.length);
  if (there.length < choice.length) {
    const has = `the clip has ${tracks.length === 1 ? 'one track' : `${tracks.length} tracks`}`;
    const taken = there.length === 0 ? 'what it has' : trackWords(there);
    return {
      choice: there.length === 0 ? undefined : there,
      unfit: `${asked}, ${has}: ${taken} is used; if that is wrong, set sound: for this clip`,
    };
  }
  if (choice.length === 1 || sides(takenTracks(tracks, choice)) !== null) return { choice };
  return {
    choice: undefined,
    unfit: `${asked} as left and right, and they are not both mono: the first is used; if that is wrong, set sound: for this clip`,
  };
}

/** `sound track 3`, `sound tracks 1 and 2`. */
function trackWords(numbers: readonly number[]): string {
  return `sound track${numbers.length === 1 ? '' : 's'} ${numbers.join(' and ')}`;
}

function takenTracks(tracks: readonly AudioFacts[], choice: SoundChoice | undefined): readonly AudioFacts[] {
  if (choice === 'mix') return tracks;
  if (choice !== undefined) return choice.flatMap((number) => tracks[number - 1] ?? []);
  const pair = tracks.slice(0, 2);
  return pair.length === 2 && pair.every(({ channels }) => channels === 1) ? pair : tracks.slice(0, 1);
}

/** Two mono tracks as left and right; null for others. */
function sides(tracks: readonly AudioFacts[]): StereoParts | null {
  if (tracks.some(({ channels }) => channels !== 1)) return null;
  return tracks.map(({ stream }, index) => ({
    stream,
    left: [index === 0 ? 1 : 0],
    right: [index === 0 ? 0 : 1],
  }));
}

function alone(tracks: readonly AudioFacts[]): StereoParts {
  return scaled(tracks.map((track) => [track, ownGains(track) ?? firstTwo(track)]));
}

function mixed(tracks: readonly AudioFacts[]): StereoParts {
  return scaled(tracks.map((track) => [track, ownGains(track) ?? onBothSides(track)]));
}

function scaled(parts: readonly (readonly [AudioFacts, StereoGains])[]): StereoParts {
  const scale = headroomScale(parts.map(([, gains]) => gains));
  return parts.map(([{ stream }, { left, right }]) => ({
    stream,
    left: left.map((gain) => gain * scale),
    right: right.map((gain) => gain * scale),
  }));
}

/** How one track becomes two channels; null where its layout is not known. */
function ownGains(track: AudioFacts): StereoGains | null {
  if (track.channels === 1) return onBothSides(track);
  const speakers = speakersOf(track.channels, track.layout);
  if (speakers !== null) return foldToStereo(speakers);
  return track.channels === 2 ? firstTwo(track) : null;
}

function firstTwo({ channels }: AudioFacts): StereoGains {
  const only = (which: number) => Array.from({ length: channels }, (_, index) => (index === which ? 1 : 0));
  return { left: only(0), right: only(1) };
}

function onBothSides({ channels }: AudioFacts): StereoGains {
  const all = Array.from({ length: channels }, () => 1);
  return { left: all, right: all };
}
