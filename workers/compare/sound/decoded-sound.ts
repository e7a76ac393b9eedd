import { type FileHandle, open, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { GoodgateError } from '../../../jobs/errors.js';
import type { LaidSound } from '../../../jobs/plan/laid-sound.js';
import { faultError, ffmpegFault } from '../../ffmpeg/fault.js';
import { runFfmpeg } from '../../ffmpeg/run-ffmpeg.js';
import { soundDecoding } from '../../ffmpeg/sound-decoding.js';
import { skippedSeconds } from '../../make/laid-input.js';
import { requireAllSamples } from '../../measure/decoding/silent-end.js';
import type { ComparedFile } from '../compare-pictures.js';
import type { TakeOptions } from '../sampling/take-samples.js';
import { type Side, sideFilter } from './sides.js';

/** Samples of each channel, full scale ±1. */
export type Channels = readonly Float32Array[];

/** So much of a sound stream is compared, s: an hour of both would fill disks. */
export const LISTENED_SECONDS = 1800;

/** A sound stream decoded to a file of raw samples, all channels of one after the other. */
export interface RawSound {
  readonly path: string;
  readonly rate: number;
  readonly channels: number;
  /** Samples of each channel. */
  readonly samples: number;
  /** Where the stretch that counts begins in the file, in samples: silence stands before its start. */
  readonly shift: number;
}

export interface SoundFile extends Pick<ComparedFile, 'path' | 'facts'> {
  /**
   * Sound recorded apart, of which the clip is a stretch; `pan` makes of a stream what the copy has of it.
   */
  readonly stretch?: { readonly laid: LaidSound; readonly pan: string | null };
}

export interface WantedSound {
  /** Number of the sound stream, from 0. */
  readonly stream: number;
  readonly rate: number;
  readonly name: string;
  /** Only this channel of a stereo stream; absent: all of them. */
  readonly side?: Side | undefined;
}

/**
 * Decodes a stream at the wanted rate; its samples count from the start of the file. The caller removes the
 * file.
 *
 * @throws GoodgateError `ffmpeg-failed`, `ffmpeg-timeout`, `missing-tool`, `interrupted`, `disk-full`.
 */
export async function decodeSound(
  file: SoundFile,
  wanted: WantedSound,
  options: TakeOptions,
): Promise<RawSound> {
  const { stream, rate, name, side } = wanted;
  const { path, facts, stretch } = file;
  const to = join(options.scratch, `${name}-${stream}.f32`);
  const has = facts.audio[stream]?.channels ?? 1;
  // A copy that has no two sides is held against the track as it is.
  const only = side === undefined || has !== 2 ? null : sideFilter(side);
  const channels = only === null ? has : 1;
  const laid = stretch?.laid;
  const skipped = laid === undefined ? 0 : skippedSeconds(laid);
  const filters = [stretch?.pan ?? [], only ?? [], `aresample=${rate}:first_pts=0`].flat().join(',');
  const held = await decodeTo(to, file, { stream, filters, skipped }, options);
  const samples = Math.floor(held / 4 / channels);
  if (laid === undefined) return { path: to, rate, channels, samples, shift: 0 };
  const shift = laid.from - skipped * laid.sampleRate;
  const heard = Math.min(laid.samples, LISTENED_SECONDS * laid.sampleRate);
  // What it was planned to cover has to come of it: ffmpeg may have stopped early.
  const demanded = Math.min(heard, laid.covers.to) + shift - SHORTER_SECONDS * laid.sampleRate;
  if (samples < demanded) {
    throw new GoodgateError('ffmpeg-failed', {
      what: 'the sound recorded apart ends sooner than its file says',
      where: path,
      next: 'copy it once more from its card, and scan again',
    });
  }
  return { path: to, rate, channels, samples: heard, shift };
}

interface Decoding {
  readonly stream: number;
  readonly filters: string;
  /** Seconds at the start that are passed over. */
  readonly skipped: number;
}

/** Bytes that came of it. */
async function decodeTo(
  to: string,
  { path, facts, stretch }: SoundFile,
  { stream, filters, skipped }: Decoding,
  { tools, signal }: TakeOptions,
): Promise<number> {
  const begins = stretch === undefined ? 0 : Math.max(0, stretch.laid.from / stretch.laid.sampleRate);
  const seconds = Math.ceil(begins - skipped) + LISTENED_SECONDS;
  const result = await runFfmpeg(
    {
      inputs: [
        {
          path,
          options: [
            ...(skipped === 0 ? [] : ['-ss', String(skipped)]),
            ...soundDecoding(facts.audio),
            ...['-t', String(seconds)],
          ],
        },
      ],
      outputs: [
        {
          path: to,
          options: [
            ...['-map', `0:${facts.audio[stream]?.stream ?? 0}`, '-af', filters],
            ...['-c:a', 'pcm_f32le', '-f', 'f32le'],
          ],
        },
      ],
    },
    { tools, signal, stallTimeoutMs: 60_000 },
  );
  if (result.killedBy === 'abort') {
    throw new GoodgateError('interrupted', { what: 'the work was interrupted', where: path });
  }
  const fault = ffmpegFault(result);
  if (fault !== null) throw faultError('ffmpeg', fault, path);
  return (await stat(to)).size;
}

/** Where one is shorter by more than a coder pads, it is looked up that it really ends there. */
const SHORTER_SECONDS = 0.1;

/**
 * Throws GoodgateError `ffmpeg-failed` where a file has more of a stream than came of it, though that is less
 * than the other has: ffmpeg may have stopped early.
 */
export async function requireWholeSound(
  raw: RawSound,
  other: RawSound,
  { path, facts, stretch }: SoundFile,
  stream: number,
  { tools, signal }: TakeOptions,
): Promise<void> {
  // Of a stretch it is known how much it has to give.
  if (stretch !== undefined) return;
  const sound = facts.audio[stream];
  const seconds = raw.samples / raw.rate;
  if (sound === undefined || other.samples / other.rate - seconds < SHORTER_SECONDS) return;
  const samples = Math.ceil(seconds * sound.sampleRate);
  const came = { stream: sound.stream, samples, sampleRate: sound.sampleRate };
  await requireAllSamples(path, came, { tools, signal });
}

/** Reads raw sound piece by piece. */
export class DecodedSound {
  private constructor(
    private readonly file: FileHandle,
    readonly channels: number,
    readonly samples: number,
    private readonly shift: number,
  ) {}

  static async open({ path, channels, samples, shift }: RawSound): Promise<DecodedSound> {
    return new DecodedSound(await open(path), channels, samples, shift);
  }

  /** Samples from a place, those of all channels together; silence before the start and after the end. */
  async bytes(from: number, count: number): Promise<Buffer> {
    const bytes = Buffer.alloc(4 * this.channels * count);
    const start = Math.max(0, from, -this.shift);
    const end = Math.min(this.samples, from + count);
    if (end > start) {
      const unit = 4 * this.channels;
      await this.file.read(bytes, unit * (start - from), unit * (end - start), unit * (start + this.shift));
    }
    return bytes;
  }

  /** As `bytes`, channel by channel. */
  async read(from: number, count: number): Promise<Channels> {
    const bytes = await this.bytes(from, count);
    const all = new Float32Array(bytes.buffer, bytes.byteOffset, this.channels * count);
    return Array.from({ length: this.channels }, (_, channel) => {
      const samples = new Float32Array(count);
      for (let i = 0; i < count; i++) samples[i] = all[i * this.channels + channel] ?? 0;
      return samples;
    });
  }

  close(): Promise<void> {
    return this.file.close();
  }
}
