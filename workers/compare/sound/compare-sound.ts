import { rm } from 'node:fs/promises';
import { isLossySound } from '../../../jobs/codecs/codec-traits.js';
import { isDatedToTheSample } from '../../../jobs/containers/sample-dates.js';
import type { AudioFacts } from '../../../jobs/manifest/facts.js';
import type { SoundComparison } from '../../../jobs/measurement/measured-comparison.js';
import { parseRational } from '../../../signal/rational.js';
import { frameClock } from '../../measure/figures/frame-ranges.js';
import { answerOfThread } from '../answer-of-thread.js';
import type { TakeOptions } from '../sampling/take-samples.js';
import type { HeardSound, SoundsToCompare } from './compare-decoded.js';
import { decodeSound, requireWholeSound, type SoundFile } from './decoded-sound.js';
import type { Side } from './sides.js';

/** Which stream of a copy is held against which of its original, by their numbers among the sound streams. */
export interface SoundPair {
  readonly original: number;
  readonly copy: number;
  /** Of a stereo stream of the copy only this channel; absent: all of it. */
  readonly side?: Side | undefined;
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
  const had = original.facts.audio[pair.original];
  const is = heardOf(copy.facts.audio[pair.copy], pair);
  if (had === undefined) return { found: null, unknown: ['the original has no such stream'] };
  if (is === undefined) return missingStream(original, copy, pair, had);
  const rate = had.sampleRate;
  const before = await decodeSound(original, { stream: pair.original, rate, name: 'original' }, options);
  try {
    const heardIn = { stream: pair.copy, rate, name: 'copy', side: pair.side };
    const after = await decodeSound(copy, heardIn, options);
    try {
      await requireWholeSound(after, before, copy, pair.copy, options);
      await requireWholeSound(before, after, original, pair.original, options);
      const work: SoundsToCompare = { stream: pair.copy, of: pair.original, had, is, before, after };
      const asked = { where: copy.path, signal: options.signal };
      const heard = await answerOfThread<HeardSound>(import.meta.url, './compare-sound-thread', work, asked);
      const areDated = isDated(original, had) && isDated(copy, is);
      return ofSide(timed(areDated ? heard : withoutLeadIn(heard), original), pair);
    } finally {
      await rm(after.path, { force: true });
    }
  } finally {
    await rm(before.path, { force: true });
  }
}

/** Facts of what is heard of a stream. */
function heardOf(stream: AudioFacts | undefined, { side }: SoundPair): AudioFacts | undefined {
  if (stream === undefined || side === undefined || stream.channels !== 2) return stream;
  return { ...stream, channels: 1, layout: 'mono' };
}

/** What was found of one side says of which. */
function ofSide({ found, unknown }: HeardSound, { side }: SoundPair): HeardSound {
  if (side === undefined) return { found, unknown };
  return {
    found: found && { ...found, side },
    unknown: unknown.map((why) => `${side}: ${why}`),
  };
}

/** A stream the copy has not; unless its channels may be in another: sound that was folded or joined. */
function missingStream(
  original: SoundFile,
  copy: SoundFile,
  pair: SoundPair,
  { channels, sampleRate }: AudioFacts,
): HeardSound {
  const others = copy.facts.audio.map(
    (stream, index) => stream.channels - (original.facts.audio[index]?.channels ?? 0),
  );
  if (others.some((more) => more !== 0)) {
    return { found: null, unknown: ['the copy has no such stream; its channels may be in another'] };
  }
  const mistakes = [{ name: 'missing' as const, detail: 'the copy has no such stream' }];
  const found: SoundComparison = {
    ...{ stream: pair.copy, side: null, of: pair.original, channels: [channels, 0], sampleRate, places: [] },
    ...{ offsetSamples: null, gainDb: null, mistakes },
  };
  return { found, unknown: [] };
}

/** Lead-ins of AAC, MP3, AC-3, Opus and Vorbis are shorter, s. */
const LEAD_IN_SECONDS = 0.06;

function isDated({ facts }: SoundFile, { codec }: AudioFacts): boolean {
  return !isLossySound(codec) || isDatedToTheSample(facts.container.format);
}

/** An offset that may be a coder's lead-in is no mistake of the copy, and not known to be right either. */
function withoutLeadIn({ found, unknown }: HeardSound): HeardSound {
  const offset = found?.offsetSamples ?? 0;
  if (found === null || offset === 0 || Math.abs(offset) > LEAD_IN_SECONDS * found.sampleRate) {
    return { found, unknown };
  }
  const why = `whether it is ${Math.abs(offset)} samples ${offset < 0 ? 'early' : 'late'} cannot be told: its container does not say how much its coder puts before the sound`;
  const mistakes = found.mistakes.filter(({ name }) => name !== 'offset');
  return { found: { ...found, offsetSamples: null, mistakes }, unknown: [...unknown, why] };
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
