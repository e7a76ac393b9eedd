import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import type { SoundComparison } from '../../../jobs/comparison/comparison.js';
import { fixed } from '../../../jobs/words/numbers.js';
import { faultError, ffmpegFault } from '../../ffmpeg/fault.js';
import { runFfmpeg } from '../../ffmpeg/run-ffmpeg.js';
import { soundDecoding } from '../../ffmpeg/sound-decoding.js';
import type { ComparedFile } from '../compare-pictures.js';
import type { TakeOptions } from '../sampling/take-samples.js';
import { type Alignment, align } from './align.js';

/** Sound is looked at in one stretch of this length, the loudest of the first minute. */
const STRETCH = 2 ** 16;
const LISTENED_SECONDS = 60;
/** The copy may be so much late or early to be found, s. */
const REACH_SECONDS = 1;
/** Below this correlation two channels are not the same sound. */
const SAME_SOUND = 0.5;
/** A channel that fits another's sound so much better was exchanged with it. */
const CLEARLY = 0.3;
/** Lossy coding changes a level by less, dB (chosen, no source). */
const LEVEL_DB = 1;

type Channels = readonly Float32Array[];

/**
 * Compares one sound stream of both files: offset to the sample, level, polarity, channels exchanged. Times
 * count from the start of each file.
 *
 * @param stream number among the sound streams, from 0
 * @throws GoodgateError `ffmpeg-failed`, `ffmpeg-timeout`, `missing-tool`.
 */
export async function compareSound(
  original: ComparedFile,
  copy: ComparedFile,
  stream: number,
  options: TakeOptions,
): Promise<SoundComparison | { readonly why: string }> {
  const [had, is] = [original.facts.audio[stream], copy.facts.audio[stream]];
  if (had === undefined || is === undefined) return { why: 'not both files have it' };
  const rate = had.sampleRate;
  const before = await decode(original, stream, rate, 'original', options);
  const after = await decode(copy, stream, rate, 'copy', options);
  const stretch = loudest(before, rate);
  if (stretch === null) return { why: 'the original is silent in its first minute' };
  return judgeSound(
    { stream, sampleRate: rate, isResampled: is.sampleRate !== rate },
    cut(before, stretch),
    cut(after, stretch),
  );
}

/** Samples of each channel of the first minute, at the wanted rate. */
async function decode(
  { path, facts }: ComparedFile,
  stream: number,
  rate: number,
  name: string,
  { scratch, tools, signal }: TakeOptions,
): Promise<Channels> {
  const to = join(scratch, `${name}-${stream}.f32`);
  const result = await runFfmpeg(
    {
      inputs: [{ path, options: [...soundDecoding(facts.audio), '-t', String(LISTENED_SECONDS)] }],
      outputs: [
        {
          path: to,
          options: [
            ...['-map', `0:${facts.audio[stream]?.stream ?? 0}`, '-af', `aresample=${rate}:first_pts=0`],
            ...['-c:a', 'pcm_f32le', '-f', 'f32le'],
          ],
        },
      ],
    },
    { tools, signal, stallTimeoutMs: 60_000 },
  );
  const fault = ffmpegFault(result);
  if (fault !== null) throw faultError('ffmpeg', fault, path);
  const bytes = await readFile(to);
  const channels = facts.audio[stream]?.channels ?? 1;
  const samples = Math.floor(bytes.length / 4 / channels);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  return Array.from({ length: channels }, (_, channel) =>
    Float32Array.from({ length: samples }, (_, i) => view.getFloat32(4 * (i * channels + channel), true)),
  );
}

/** Where the loudest stretch of the original begins; null: it is silent. */
function loudest(channels: Channels, rate: number): number | null {
  const samples = channels[0]?.length ?? 0;
  let [best, most] = [0, 0];
  for (let from = 0; from === 0 || from + STRETCH <= samples; from += rate) {
    let power = 0;
    for (const channel of channels) {
      for (const sample of channel.subarray(from, from + STRETCH)) power += sample * sample;
    }
    if (power > most) [best, most] = [from, power];
  }
  return most === 0 ? null : best;
}

function cut(channels: Channels, from: number): Channels {
  return channels.map((channel) => {
    const stretch = new Float32Array(STRETCH);
    stretch.set(channel.subarray(from, from + STRETCH));
    return stretch;
  });
}

/** What a stretch of both tells, channel by channel. Pure. */
export function judgeSound(
  { stream, sampleRate, isResampled }: { stream: number; sampleRate: number; isResampled: boolean },
  original: Channels,
  copy: Channels,
): SoundComparison | { readonly why: string } {
  const most = REACH_SECONDS * sampleRate;
  const table = copy.map((is) => original.map((had) => align(had, is, most)));
  const own = table.map((row, index) => row[index] ?? null);
  const exchanged = exchangedWith(table);
  const fitting = own
    .filter((found) => found !== null)
    .filter(({ correlation }) => Math.abs(correlation) >= SAME_SOUND);
  const channels: [number, number] = [original.length, copy.length];
  if (exchanged !== null) {
    return {
      ...{ stream, channels, sampleRate, offsetSamples: null, gainDb: null },
      mistakes: [{ name: 'channels-exchanged', detail: exchanged }],
    };
  }
  const [first] = fitting;
  if (first === undefined) return { why: 'no channel of the copy is the same sound as the original’s' };
  const isKnown = fitting.every(({ isOnly, lag }) => isOnly && lag === first.lag);
  const offset = isKnown ? first.lag : null;
  const gains = fitting.map(({ gain }) => 20 * Math.log10(gain));
  const gainDb = gains.reduce((worst, gain) => (Math.abs(gain) > Math.abs(worst) ? gain : worst), 0);
  const mistakes = [
    ...offsetMistake(offset, sampleRate, isResampled),
    ...(fitting.some(({ correlation, isOnly, lag }) => correlation < 0 && (isOnly || lag === 0))
      ? [{ name: 'polarity' as const, detail: polarityWords(own) }]
      : []),
    ...(Math.abs(gainDb) >= LEVEL_DB
      ? [
          {
            name: 'level' as const,
            detail: `${fixed(Math.abs(gainDb), 1)} dB ${gainDb < 0 ? 'lower' : 'louder'}`,
          },
        ]
      : []),
  ];
  return { stream, channels, sampleRate, offsetSamples: offset, gainDb, mistakes };
}

function offsetMistake(
  offset: number | null,
  rate: number,
  isResampled: boolean,
): SoundComparison['mistakes'] {
  // A resampler may move sound by a part of a sample.
  if (offset === null || Math.abs(offset) < (isResampled ? 2 : 1)) return [];
  const detail = `${Math.abs(offset)} samples ${offset < 0 ? 'early' : 'late'} (${fixed((1000 * Math.abs(offset)) / rate, 2)} ms)`;
  return [{ name: 'offset', detail }];
}

function polarityWords(own: readonly (Alignment | null)[]): string {
  const numbers = own.flatMap((found, index) => (found !== null && found.correlation < 0 ? [index + 1] : []));
  return `opposite polarity of channel${numbers.length > 1 ? 's' : ''} ${numbers.join(', ')}`;
}

/** Which two channels changed places; null: none. */
function exchangedWith(table: readonly (readonly (Alignment | null)[])[]): string | null {
  const likeness = (copy: number, original: number): number =>
    Math.abs(table[copy]?.[original]?.correlation ?? 0);
  for (let a = 0; a < table.length; a++) {
    for (let b = a + 1; b < table.length; b++) {
      const asThey = Math.max(likeness(a, a), likeness(b, b));
      const across = Math.min(likeness(a, b), likeness(b, a));
      if (across >= SAME_SOUND && across >= asThey + CLEARLY)
        return `channels ${a + 1} and ${b + 1} are exchanged`;
    }
  }
  return null;
}
