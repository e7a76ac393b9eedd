import { type FileHandle, open, rm } from 'node:fs/promises';
import { join } from 'node:path';
import { faultError, ffmpegFault } from '../../ffmpeg/fault.js';
import { runFfmpeg } from '../../ffmpeg/run-ffmpeg.js';
import { soundDecoding } from '../../ffmpeg/sound-decoding.js';
import type { ComparedFile } from '../compare-pictures.js';
import type { TakeOptions } from '../sampling/take-samples.js';

/** Samples of each channel, full scale ±1. */
export type Channels = readonly Float32Array[];

/** So much of a sound stream is compared, s: an hour of both would fill disks. */
export const LISTENED_SECONDS = 1800;

/** A sound stream decoded to a file of raw samples. */
export class DecodedSound {
  private constructor(
    private readonly file: FileHandle,
    private readonly path: string,
    readonly channels: number,
    /** Samples of each channel. */
    readonly samples: number,
  ) {}

  /**
   * Decodes a stream at the wanted rate; its samples count from the start of the file.
   *
   * @throws GoodgateError `ffmpeg-failed`, `ffmpeg-timeout`, `missing-tool`, `disk-full`.
   */
  static async decode(
    { path, facts }: ComparedFile,
    { stream, rate, name }: { readonly stream: number; readonly rate: number; readonly name: string },
    { scratch, tools, signal }: TakeOptions,
  ): Promise<DecodedSound> {
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
    const channels = facts.audio[stream]?.channels ?? 1;
    const file = await open(to);
    const { size } = await file.stat();
    return new DecodedSound(file, to, channels, Math.floor(size / 4 / channels));
  }

  /** Samples from a place; silence before the start and after the end. */
  async read(from: number, count: number): Promise<Channels> {
    const bytes = Buffer.alloc(4 * this.channels * count);
    const start = Math.max(0, from);
    const end = Math.min(this.samples, from + count);
    if (end > start) {
      const unit = 4 * this.channels;
      await this.file.read(bytes, unit * (start - from), unit * (end - start), unit * start);
    }
    const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    return Array.from({ length: this.channels }, (_, channel) =>
      Float32Array.from({ length: count }, (_each, i) =>
        view.getFloat32(4 * (i * this.channels + channel), true),
      ),
    );
  }

  async remove(): Promise<void> {
    await this.file.close();
    await rm(this.path, { force: true });
  }
}
