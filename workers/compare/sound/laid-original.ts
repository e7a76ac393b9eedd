import type { ClipFacts } from '../../../jobs/manifest/facts.js';
import { laidNames, laidTracks } from '../../../jobs/plan/laid-sound.js';
import type { OutputRecipe } from '../../../jobs/plan/plan.js';
import { panFilter } from '../../make/sound-arguments.js';
import type { SoundPair } from './compare-sound.js';
import type { SoundFile } from './decoded-sound.js';
import { sidesOf } from './sides.js';

/** A stretch of a file of sound recorded apart, and the stream of the copy that is held against it. */
export interface LaidPair {
  readonly file: SoundFile;
  readonly pair: SoundPair;
}

/**
 * What the sound of a copy was made of, where sound recorded apart was laid into it; null where its own was
 * kept. Stereo made of one stream is held against that stream as the same two channels; of two mono tracks
 * each is held against its side. Pure.
 *
 * @param clip facts of the clip: times are told by its timecode
 */
export function laidOriginal(
  audio: OutputRecipe['audio'] | undefined,
  clip: ClipFacts,
): readonly LaidPair[] | { readonly mixed: string } | null {
  if (audio?.laid === undefined) return null;
  const tracks = laidTracks(audio.laid);
  const pairOf = (number: number, pan: string | null, pair: Omit<SoundPair, 'original'>): LaidPair => {
    const track = tracks[number];
    if (track === undefined) throw new RangeError(`no track ${number + 1} of sound that is laid`);
    const { of, stream } = track;
    const asMade =
      pan === null ? of.audio : of.audio.map((each) => ({ ...each, channels: 2, layout: 'stereo' }));
    return {
      file: { path: of.path, facts: { ...clip, audio: asMade }, stretch: { laid: of, pan } },
      pair: { ...pair, original: of.audio.findIndex((each) => each.stream === stream) },
    };
  };
  if (audio.stereo === null) return audio.streams.map((number, copy) => pairOf(number, null, { copy }));
  const [part, ...others] = audio.stereo;
  if (part === undefined) return [];
  if (others.length === 0) return [pairOf(part.stream, panFilter(part), { copy: 0 })];
  const sides = sidesOf(audio.stereo);
  if (sides !== null) return sides.map(({ stream, side }) => pairOf(stream, null, { copy: 0, side }));
  const numbers = audio.stereo.map(({ stream }) => stream + 1).join(', ');
  return { mixed: `its sound was mixed from tracks ${numbers} of ${laidNames(audio.laid)}` };
}
