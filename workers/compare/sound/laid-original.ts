import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import type { OutputRecipe } from '../../../jobs/plan/plan.js';
import { panFilter } from '../../make/sound-arguments.js';
import type { SoundPair } from './compare-sound.js';
import type { SoundFile } from './decoded-sound.js';

/** A stretch of sound recorded apart in place of the original's sound, or why it cannot be held against. */
export type LaidOriginal =
  | { readonly file: SoundFile; readonly pairs: readonly SoundPair[] }
  | { readonly mixed: string };

/**
 * What the sound of a copy was made of, where sound recorded apart was laid into it; null where its own was
 * kept. Stereo made of one stream is held against that stream as the same two channels. Pure.
 *
 * @param clip facts of the clip: times are told by its timecode
 */
export function laidOriginal(audio: OutputRecipe['audio'] | undefined, clip: ClipFacts): LaidOriginal | null {
  const laid = audio?.laid;
  if (audio == null || laid === undefined) return null;
  const of = (tracks: ClipFacts['audio'], pan: string | null): SoundFile => ({
    path: laid.path,
    facts: { ...clip, audio: tracks },
    stretch: { laid, pan },
  });
  const numberOf = (stream: number): number => laid.audio.findIndex((each) => each.stream === stream);
  if (audio.stereo === null) {
    const pairs = audio.streams.map((stream, index) => ({ original: numberOf(stream), copy: index }));
    return { file: of(laid.audio, null), pairs };
  }
  const [part, ...others] = audio.stereo;
  if (part === undefined || others.length > 0) {
    const tracks = audio.stereo.map(({ stream }) => numberOf(stream) + 1).join(', ');
    return { mixed: `its sound was mixed from tracks ${tracks} of ${laid.name}` };
  }
  const tracks = laid.audio.map((track) => ({ ...track, channels: 2, layout: 'stereo' }));
  return { file: of(tracks, panFilter(part)), pairs: [{ original: numberOf(part.stream), copy: 0 }] };
}
