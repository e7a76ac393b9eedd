import { count, grouped } from '../words/numbers.js';

/** What a plan or a batch knows of the clips of its cards. */
export interface CardClips {
  /** Clips that have a job, by name. */
  readonly clips: readonly string[];
  readonly refused: readonly { readonly clip: string }[];
  readonly unreadable: readonly { readonly file: string }[];
  readonly skipped: readonly unknown[];
  readonly soundApart: readonly { readonly file: string }[];
}

/** How many came in of each kind; a picture sequence is one clip, and housekeeping of cameras is none. */
export interface CameIn {
  /** Clips with a picture, with those that are unreadable or refused; without those that are skipped. */
  readonly clips: number;
  /** Of these. */
  readonly unreadable: number;
  readonly soundApart: number;
  readonly skipped: number;
}

/** Clips of which every output was refused: they have no job, so no line of their own. */
export function whollyRefused({
  clips,
  refused,
  unreadable,
}: Pick<CardClips, 'clips' | 'refused' | 'unreadable'>): string[] {
  const known = new Set([...clips, ...unreadable.map(({ file }) => file)]);
  return [...new Set(refused.map(({ clip }) => clip))].filter((clip) => !known.has(clip));
}

/** The one count of clips that scan, plan, run and report show. Pure. */
export function cameIn(all: CardClips): CameIn {
  const { clips, refused, unreadable, skipped, soundApart } = all;
  // Sound by itself, asked for as if it were a clip, is told where it is refused.
  const told = new Set(refused.map(({ clip }) => clip));
  return {
    clips: clips.length + unreadable.length + whollyRefused(all).length,
    unreadable: unreadable.length,
    soundApart: soundApart.filter(({ file }) => !told.has(file)).length,
    skipped: skipped.length,
  };
}

/** `12 clips came in (1 unreadable), 2 files of sound recorded apart, 3 skipped`. */
export function cameInText({ clips, unreadable, soundApart, skipped }: CameIn): string {
  return [
    `${count(clips, 'clip')} came in${unreadable === 0 ? '' : ` (${grouped(unreadable)} unreadable)`}`,
    ...(soundApart === 0 ? [] : [`${count(soundApart, 'file')} of sound recorded apart`]),
    ...(skipped === 0 ? [] : [`${grouped(skipped)} skipped`]),
  ].join(', ');
}
