import type { SoundComparison } from '../../../jobs/measurement/measured-comparison.js';
import type { OutputRecipe } from '../../../jobs/plan/plan.js';
import { makeTemporaryFolder } from '../../children/temporary-folder.js';
import type { Tools } from '../../ffmpeg/tools.js';
import { compareSound, type SoundPair } from './compare-sound.js';
import type { SoundFile } from './decoded-sound.js';
import { type LaidPair, laidOriginal } from './laid-original.js';
import { sidesOf } from './sides.js';

export interface AllSound {
  readonly found: readonly SoundComparison[];
  /** What could not be compared, by the number of the stream in the copy, from 0. */
  readonly unknown: readonly { readonly stream: number; readonly why: string }[];
}

/**
 * Compares every sound stream of a copy with what it was made of: that of its original, or the sound recorded
 * apart that was laid in its place.
 *
 * @param audio how the sound was made, where that is known; null: the copy was to have none
 * @throws GoodgateError as of `compareSound`.
 */
export async function compareAllSound(
  original: SoundFile,
  copy: SoundFile,
  audio: OutputRecipe['audio'] | undefined,
  options: { readonly tools?: Tools | undefined; readonly signal?: AbortSignal | undefined },
): Promise<AllSound> {
  const pairs = laidOriginal(audio, original.facts) ?? ofOriginal(original, copy, audio);
  if ('mixed' in pairs) return { found: [], unknown: [{ stream: 0, why: pairs.mixed }] };
  const scratch = makeTemporaryFolder('compare');
  const found: SoundComparison[] = [];
  const unknown: AllSound['unknown'][number][] = [];
  try {
    for (const { file, pair } of pairs) {
      const heard = await compareSound(file, copy, pair, { ...options, scratch: scratch.path });
      if (heard.found !== null) found.push(heard.found);
      for (const why of heard.unknown) unknown.push({ stream: pair.copy, why });
    }
  } finally {
    scratch.remove();
  }
  return { found, unknown };
}

function ofOriginal(
  original: SoundFile,
  copy: SoundFile,
  audio: OutputRecipe['audio'] | undefined,
): readonly LaidPair[] | { readonly mixed: string } {
  const pairs = soundPairs(original, copy, audio);
  return 'mixed' in pairs ? pairs : pairs.map((pair) => ({ file: original, pair }));
}

/** Which streams belong together, or why none do: they were mixed. Pure. */
export function soundPairs(
  original: Pick<SoundFile, 'facts'>,
  copy: Pick<SoundFile, 'facts'>,
  audio: OutputRecipe['audio'] | undefined,
): readonly SoundPair[] | { readonly mixed: string } {
  const [had, is] = [original.facts.audio, copy.facts.audio];
  if (audio === undefined || audio === null) {
    return Array.from({ length: Math.max(had.length, is.length) }, (_, stream) => ({
      original: stream,
      copy: stream,
    }));
  }
  const numberOf = (stream: number): number => had.findIndex((each) => each.stream === stream);
  if (audio.stereo === null) {
    return audio.streams.map((stream, index) => ({ original: numberOf(stream), copy: index }));
  }
  const [part, ...others] = audio.stereo;
  const track = had.find(({ stream }) => stream === part?.stream);
  const isOneStereo =
    others.length === 0 &&
    track?.channels === 2 &&
    part?.left.join() === '1,0' &&
    part.right.join() === '0,1';
  if (isOneStereo && part !== undefined) return [{ original: numberOf(part.stream), copy: 0 }];
  const sides = sidesOf(audio.stereo);
  if (sides !== null) return sides.map(({ stream, side }) => ({ original: numberOf(stream), copy: 0, side }));
  const tracks = audio.stereo.map(({ stream }) => numberOf(stream) + 1).join(', ');
  return { mixed: `its sound was mixed from track ${tracks} of the original` };
}
