import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, describe, expect, it } from 'vitest';
import { probeClip } from '../../../workers/probe/probe-clip.js';
import { fullBox, patched, u8, u32, withBoxReplaced } from '../../media/boxes.js';
import { temporaryFolder } from '../../media/known-clip.js';
import { measureFile } from '../../media/measure-file.js';

/** Files of ffmpeg, and the same with a byte of the codec's record changed. */
const folder = await temporaryFolder();
afterAll(folder.remove);

async function made(name: string, source: string, ...options: readonly string[]): Promise<string> {
  const path = join(folder.path, name);
  await execa('ffmpeg', [
    '-nostdin',
    '-y',
    '-loglevel',
    'error',
    '-f',
    'lavfi',
    '-i',
    source,
    ...options,
    path,
  ]);
  return path;
}

async function changed(path: string, change: (file: Buffer) => Buffer): Promise<string> {
  const to = path.replace(/(\.\w+)$/, ' changed$1');
  await writeFile(to, change(await readFile(path)));
  return to;
}

const PICTURE = 'testsrc2=s=64x64:r=25:d=0.12';

describe('depth and chroma of a picture', () => {
  it.each([
    ['libx264', 'mp4', 'yuv422p10le', 10, '4:2:2'],
    ['libx264', 'mkv', 'yuv420p', 8, '4:2:0'],
    ['libx265', 'mp4', 'yuv422p10le', 10, '4:2:2'],
    ['libx265', 'mkv', 'yuv444p12le', 12, '4:4:4'],
    ['libvpx-vp9', 'mp4', 'yuv444p', 8, '4:4:4'],
    ['libaom-av1', 'mp4', 'yuv420p10le', 10, '4:2:0'],
  ])('%s in %s, %s: the record says the same', async (encoder, extension, format, bitDepth, chroma) => {
    const fast = encoder === 'libaom-av1' ? ['-cpu-used', '8'] : [];
    const options = ['-c:v', encoder, '-pix_fmt', format, '-strict', '-2', ...fast];
    const path = await made(`${encoder} ${format}.${extension}`, PICTURE, ...options);
    const { layers } = await measureFile(path);
    expect(layers.container?.samples).toEqual({ bitDepth, chroma });
    expect((await probeClip(path)).notes.join()).not.toContain('samples:');
  });

  it('a record that says otherwise is told of, and the pictures count', async () => {
    const path = await made('h265.mp4', PICTURE, '-c:v', 'libx265', '-pix_fmt', 'yuv420p10le');
    // hvcC: byte 16 ends in the chroma format, byte 17 in the depth of luma less 8.
    const wrong = await changed(path, (file) => patched(file, 'hvcC', 16, u8(0xfe, 0xf8)));
    const facts = await probeClip(wrong);
    expect(facts.video).toMatchObject({ bitDepth: 10, chroma: '4:2:0' });
    expect(facts.notes).toContain(
      'samples: the container declares 8 bits, the pictures have 10; the container declares 4:2:2, the pictures have 4:2:0',
    );
  });
});

describe('channels and rate of coded sound', () => {
  const TONE = 'aevalsrc=0.25*sin(2*PI*997*t)|0.25*sin(2*PI*997*t):s=48000:d=1';

  it.each([
    // dOps: version, channels. The magic cookie of ALAC: version and flags, then the rate in bytes 20 to 23.
    ['libopus', 'dOps', 1, u8(1), 'declares 2 channels, the record of the codec (Opus) 1'],
    ['alac', 'alac', 24, u32(44_100), 'declares 48000 Hz, the record of the codec (alac) 44100 Hz'],
  ] as const)('%s: a record that contradicts the entry leaves the sound unmeasured', async (...row) => {
    const [encoder, type, offset, bytes, words] = row;
    const path = await made(`${encoder}.mp4`, TONE, '-c:a', encoder);
    expect((await probeClip(path)).audio[0]?.misread).toBeUndefined();
    const wrong = await changed(path, (file) => patched(file, type, offset, bytes));
    const facts = await probeClip(wrong);
    expect(facts.audio[0]?.misread).toContain(words);
    const { audio, unmeasured } = await measureFile(wrong, { facts });
    expect(audio[0]).toMatchObject({ integratedLufs: null, samplePeakDbfs: null });
    expect(unmeasured).toContainEqual({ what: 'audio[0]', why: facts.audio[0]?.misread });
  });

  it.each(['flac', 'alac'])('%s: record and entry agree', async (codec) => {
    const path = await made(`${codec} whole.mp4`, TONE, '-c:a', codec, '-strict', '-2');
    const { audio } = await measureFile(path);
    expect(audio[0]?.samplePeakDbfs).toBeCloseTo(20 * Math.log10(0.25), 2);
  });
});

describe('loudspeakers of the channels', () => {
  // The fourth of six channels alone: LFE in the order of ffmpeg, which counts for nothing (BS.1770, annex
  // 1), but the left surround where the order is C, L, R, Ls, Rs, LFE, which counts 1.41 times.
  const FOURTH = 'aevalsrc=0|0|0|0.25*sin(2*PI*997*t)|0|0:c=5.1:s=48000:d=1';
  const SURROUND = 10 * Math.log10((1.41 * 0.25 ** 2) / 2);
  const ENTRY = ['moov', 'trak', 'mdia', 'minf', 'stbl', 'stsd'];
  const mov = () => made('surround.mov', FOURTH, '-c:a', 'pcm_s24be');

  it('as ffmpeg has them', async () => {
    const { audio } = await measureFile(await mov());
    expect(audio[0]).toMatchObject({ layout: '5.1', integratedLufs: null });
  });

  it.each([
    // Tag 124 with 6 channels, no bitmap, no descriptions.
    ['a tag', u32(124 * 65_536 + 6, 0, 0)],
    // Labels 3, 1, 2, 5, 6, 4, each with flags and three coordinates.
    ['descriptions', Buffer.concat([u32(0, 0, 6), ...[3, 1, 2, 5, 6, 4].map((l) => u32(l, 0, 0, 0, 0))])],
  ])('chan, by %s', async (_, layout) => {
    const path = await changed(await mov(), (file) => {
      const chan = fullBox('chan', 0, layout);
      return withBoxReplaced(file, ENTRY, fullBox('stsd', 0, u32(1), entryOf(file)(chan)));
    });
    const { audio } = await measureFile(path);
    expect(audio[0]?.layout).toBe('FC+FL+FR+SL+SR+LFE');
    expect(audio[0]?.integratedLufs).toBeCloseTo(SURROUND, 1);
  });

  it('a mono track that chan labels as the left one stays mono', async () => {
    const tone = 'aevalsrc=0.25*sin(2*PI*997*t):s=48000:d=0.5';
    const path = await changed(await made('mono.mov', tone, '-c:a', 'pcm_s24be'), (file) => {
      const chan = fullBox('chan', 0, u32(0, 0, 1, 1, 0, 0, 0, 0));
      return withBoxReplaced(file, ENTRY, fullBox('stsd', 0, u32(1), entryOf(file)(chan)));
    });
    const { audio } = await probeClip(path);
    expect(audio[0]?.channels).toBe(1);
    expect(audio[0]?.layout).not.toBe('FL');
  });

  it('chnl of MP4, position by position', async () => {
    const path = await changed(await mov(), (file) => {
      // Structured as channels, no defined layout, then C, L, R, Ls, Rs, LFE.
      const chnl = fullBox('chnl', 0, u8(1, 0, 2, 0, 1, 4, 5, 3));
      return withBoxReplaced(file, ENTRY, fullBox('stsd', 0, u32(1), entryOf(file)(chnl)));
    });
    expect((await probeClip(path)).audio[0]?.layout).toBe('FC+FL+FR+SL+SR+LFE');
  });
});

/** The sample entry of the sound, version 1 of QuickTime, with one box in it. */
function entryOf(file: Buffer): (inner: Buffer) => Buffer {
  const at = file.indexOf('in24', file.lastIndexOf('stsd', undefined, 'latin1'), 'latin1');
  const fields = file.subarray(at + 4, at + 4 + 44);
  return (inner) => Buffer.concat([u32(8 + 44 + inner.length), Buffer.from('in24'), fields, inner]);
}
