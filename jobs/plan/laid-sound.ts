import { z } from 'zod';
import { absolutePath } from '../documents/path-below.js';
import { type AudioFacts, audioFacts } from '../manifest/facts.js';

const whole = z.number().int();

/**
 * Sound recorded apart that takes the place of a clip's own: which file, and which stretch of it. Samples
 * count at `sampleRate`, which is that of the file.
 */
export const laidSound = z.object({
  path: absolutePath,
  /** As the manifest calls it: the name shown to people. */
  name: z.string().min(1).max(4_096),
  /** State of the file when it was planned: another one makes another output. */
  bytes: whole.nonnegative(),
  modified: z.string(),
  /** Its streams, by ffmpeg's index within the file. */
  audio: z.array(audioFacts).min(1).max(1_000),
  sampleRate: whole.positive(),
  /** Sample of the file at which the clip begins; below zero: so much silence comes first. */
  from: whole,
  /** Length of the clip. */
  samples: whole.positive(),
  /** Samples of the clip during which the file has sound, half-open, from the start of the clip. */
  covers: z.object({ from: whole.nonnegative(), to: whole.positive() }),
});
export type LaidSound = z.infer<typeof laidSound>;

/** More files of one track each than a recorder writes of a take. */
export const LAID_AT_MOST = 32;

/** A track of sound that is laid: of which file, and the number of its stream there. */
export interface LaidTrack {
  readonly of: LaidSound;
  /** Place of the file among those that are laid, from 0. */
  readonly file: number;
  readonly stream: number;
  /** Its facts, with the number that a recipe has for it: tracks of all files are numbered through. */
  readonly facts: AudioFacts;
}

/** Tracks of all files that are laid, in their order. Pure. */
export function laidTracks(laid: readonly LaidSound[]): LaidTrack[] {
  const tracks = laid.flatMap((of, file) => of.audio.map((facts) => ({ of, file, facts })));
  return tracks.map(({ of, file, facts }, number) => ({
    ...{ of, file, stream: facts.stream },
    facts: { ...facts, stream: number },
  }));
}

/** `A.wav and B.wav`, as people are told of them. */
export function laidNames(laid: readonly Pick<LaidSound, 'name'>[]): string {
  const names = laid.map(({ name }) => name);
  const last = names.pop() ?? '';
  return names.length === 0 ? last : `${names.join(', ')} and ${last}`;
}
