import { rm } from 'node:fs/promises';
import { parseRational } from '../../../signal/rational.js';
import { frameClock } from '../../measure/figures/frame-ranges.js';
import { answerOfThread } from '../answer-of-thread.js';
import type { TakeOptions } from '../sampling/take-samples.js';
import type { HeardSound, SoundsToCompare } from './compare-decoded.js';
import { decodeSound, requireWholeSound, type SoundFile } from './decoded-sound.js';

/** Which stream of a copy is held against which of its original, by their numbers among the sound streams. */
export interface SoundPair {
  readonly original: number;
  readonly copy: number;
}

/**
 * Compares one sound stream of a copy with one of its original: offset to the sample, level, polarity,
 * channels exchanged, and window by window whether it is the same sound. Times count from the start of
 * each file.
 *
 * @throws GoodgateError `ffmpeg-failed`, `ffmpeg-timeout`, `missing-tool`, `measure-failed`,
 * `interrupted`, `disk-full`.
 */
export async function compareSound(
  original: SoundFile,
  copy: SoundFile,
  pair: SoundPair,
  options: TakeOptions,
): Promise<HeardSound> {
  const [had, is] = [original.facts.audio[pair.original], copy.facts.audio[pair.copy]];
  if (had === undefined || is === undefined) return { found: null, unknown: ['not both files have it'] };
  const rate = had.sampleRate;
  const before = await decodeSound(original, { stream: pair.original, rate, name: 'original' }, options);
  try {
    const after = await decodeSound(copy, { stream: pair.copy, rate, name: 'copy' }, options);
    try {
      await requireWholeSound(after, before, copy, pair.copy, options);
      await requireWholeSound(before, after, original, pair.original, options);
      const work: SoundsToCompare = { stream: pair.copy, of: pair.original, had, is, before, after };
      const asked = { where: copy.path, signal: options.signal };
      return timed(
        await answerOfThread<HeardSound>(import.meta.url, './compare-sound-thread', work, asked),
        original,
      );
    } finally {
      await rm(after.path, { force: true });
    }
  } finally {
    await rm(before.path, { force: true });
  }
}

/** The places by the timecode of the original too. */
function timed({ found, unknown }: HeardSound, { facts: { container, video } }: SoundFile): HeardSound {
  const rate = parseRational(video?.frameRate ?? '');
  if (found === null || rate === null) return { found, unknown };
  const clock = frameClock(container.startTimecode, video?.frameRate ?? null);
  const places = found.places.map((place) => {
    const frame = Math.floor((place.fromSeconds * rate.num) / rate.den + 1e-6);
    return { ...place, fromTimecode: clock.timecode(frame) };
  });
  return { found: { ...found, places }, unknown };
}
