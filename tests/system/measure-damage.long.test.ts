import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { GoodgateError } from '../../jobs/errors.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import { temporaryFolder } from '../media/known-clip.js';
import { measureFile } from '../media/measure-file.js';

/**
 * A damaged or truncated file must never look clean, though ffmpeg exits 0 on most of them. Every clip is
 * measured undamaged first: a check that always cries is none.
 */
const CLIPS: readonly { readonly name: string; readonly encode: readonly string[] }[] = [
  { name: 'h264.mp4', encode: ['-c:v', 'libx264', '-g', '6', '-c:a', 'aac', '-movflags', '+faststart'] },
  { name: 'prores.mov', encode: ['-c:v', 'prores_ks', '-c:a', 'pcm_s24le', '-movflags', '+faststart'] },
  { name: 'ffv1.mkv', encode: ['-c:v', 'ffv1', '-level', '3', '-slicecrc', '1', '-c:a', 'pcm_s24le'] },
  {
    name: 'hevc.mkv',
    encode: ['-c:v', 'libx265', '-x265-params', 'log-level=error', '-pix_fmt', 'yuv420p10le', '-c:a', 'aac'],
  },
  { name: 'mpeg2.mxf', encode: ['-c:v', 'mpeg2video', '-b:v', '4M', '-c:a', 'pcm_s16le'] },
  { name: 'mpeg2.ts', encode: ['-c:v', 'mpeg2video', '-b:v', '4M', '-c:a', 'mp2'] },
  { name: 'mjpeg.avi', encode: ['-c:v', 'mjpeg', '-pix_fmt', 'yuvj420p', '-c:a', 'pcm_s16le'] },
  { name: 'sound.wav', encode: ['-vn', '-c:a', 'pcm_s24le'] },
];

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
beforeAll(async () => {
  folder = await temporaryFolder();
  const sources = ['testsrc2=size=128x72:rate=25:duration=1', 'sine=sample_rate=48000:duration=1'];
  const inputs = sources.flatMap((source) => ['-f', 'lavfi', '-i', source]);
  const to = (name: string): string => `file:${join(folder.path, name)}`;
  const outputs = CLIPS.flatMap(({ name, encode }) => {
    const silent = name === 'sound.wav' ? [] : [...encode, '-an', to(pictureOnly(name))];
    return [...encode, to(name), ...silent];
  });
  await execa('ffmpeg', ['-nostdin', '-loglevel', 'error', ...inputs, ...outputs], { stdin: 'ignore' });
});
afterAll(() => folder.remove());

let copies = 0;
async function measureCopy(
  name: string,
  change: (bytes: Buffer) => Buffer,
): Promise<Measurement | 'unreadable'> {
  const path = join(folder.path, `copy ${copies++} of ${name}`);
  await writeFile(path, change(await readFile(join(folder.path, name))));
  try {
    return await measureFile(path);
  } catch (error) {
    if (error instanceof GoodgateError && error.code === 'unreadable-clip') return 'unreadable';
    throw error;
  }
}

describe.each(CLIPS)('$name', ({ name }) => {
  it('is clean as it was made', async () => {
    const measured = await measureCopy(name, (bytes) => bytes);
    expect(measured).toMatchObject({ decode: { errors: 0, messages: [], truncated: false }, events: [] });
  });

  it('never looks whole when it is cut', async () => {
    for (const share of [0.2, 0.5, 0.83, 1]) {
      // The last: a single byte less. A transport stream has no end to contradict, but packets of 188 bytes.
      const measured = await measureCopy(name, (bytes) =>
        bytes.subarray(0, Math.min(Math.floor(bytes.length * share), bytes.length - 1)),
      );
      if (measured === 'unreadable') {
        expect(share).toBeLessThan(1);
        continue;
      }
      expect(measured.decode.truncated || measured.decode.errors > 0, `${name} cut at ${share}`).toBe(true);
      if (name === 'mpeg2.ts') continue;
      expect(measured.decode.truncated, `${name} cut at ${share}`).toBe(true);
      expect(measured.events.some(({ kind }) => kind === 'truncated')).toBe(true);
    }
  });
});

/**
 * A copy without its sound: PCM has no syntax to break, zeros and flipped bits in it are just other samples.
 */
function pictureOnly(name: string): string {
  return `picture ${name}`;
}

describe('damage in the middle', () => {
  // 2 kB of zeros, as a bad sector leaves them.
  it.each(['h264.mp4', 'prores.mov', 'ffv1.mkv', 'hevc.mkv', 'mpeg2.mxf'])('zeros in %s', async (name) => {
    const picture = pictureOnly(name);
    for (const share of [0.3, 0.7]) {
      const measured = await measureCopy(picture, (bytes) => {
        const at = Math.floor(bytes.length * share);
        return bytes.fill(0, at, at + 2048);
      });
      if (measured === 'unreadable') throw new Error(`${name} at ${share}: its headers are not touched`);
      expect(measured.decode.truncated || measured.decode.errors > 0, `${name} at ${share}`).toBe(true);
    }
  });

  it('one flipped bit in any FFV1 slice is seen: the slices carry checksums (RFC 9043)', async () => {
    const picture = pictureOnly('ffv1.mkv');
    const flips = [1, 2, 3, 4, 5, 6, 7, 8];
    const measured = await measureCopy(picture, (bytes) => {
      for (const i of flips) {
        // Past the headers, before the index at the end; each in another frame.
        const at = 2000 + Math.floor(((bytes.length - 4000) * i) / 9);
        bytes[at] = (bytes[at] ?? 0) ^ 0x10;
      }
      return bytes;
    });
    if (measured === 'unreadable') throw new Error('its header is not touched');
    expect(measured.decode.errors).toBeGreaterThanOrEqual(flips.length);
  });
});
