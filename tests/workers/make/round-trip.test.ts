import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { OutputRecipe, PlannedClip } from '../../../jobs/plan/plan.js';
import { findFont } from '../../../workers/capabilities/find-font.js';
import { runFfmpeg } from '../../../workers/ffmpeg/run-ffmpeg.js';
import { Making, NOISE } from './making.js';
import { codec, DISPLAY, LOG, PQ } from './recipes.js';

/** What is asked of makeCommand must be there when the file is read back. */
let making: Making;
let original: PlannedClip;
let fontFile: string | null;

beforeAll(async () => {
  making = await Making.begin();
  fontFile = await findFont();
  original = await making.source(
    'original.mkv',
    NOISE,
    '-pix_fmt',
    'yuv422p10le',
    '-c:v',
    'ffv1',
    '-c:a',
    'pcm_s24le',
  );
});
afterAll(() => making.end());

function make(recipe: Partial<OutputRecipe>, clip = original): ReturnType<Making['make']> {
  return making.make(recipe, clip, fontFile);
}

describe('read back', () => {
  it('the reel arrives in mov', async () => {
    expect((await make({ timecode: '01:00:00:00', reel: 'A 001: x' })).container.reel).toBe('A 001: x');
  });

  it.each<[string, Partial<OutputRecipe>, string | null]>([
    ['prores in mov', {}, null],
    ['hevc in mp4', { container: 'mp4', video: codec('libx265', 'yuv420p10le') }, 'topleft'],
    ['h264 in mp4', { container: 'mp4', video: codec('libx264', 'yuv420p10le') }, 'topleft'],
  ])('PQ in %s: container and bitstream say the same', async (_, recipe, siting) => {
    const made = await make({ ...recipe, sourceColour: PQ, colour: PQ });
    const { range, ...three } = PQ;
    expect(range).toBe('narrow');
    expect(made.video?.colourByLayer.container).toMatchObject(three);
    expect(made.video?.colourByLayer.bitstream).toMatchObject(three);
    expect(made.video?.colour).toEqual(PQ);
    expect(made.video?.chromaLocation).toBe(siting);
  });

  it.each<[string, Partial<OutputRecipe>]>([
    ['prores in mov', {}],
    ['ffv1 in mkv', { container: 'mkv', video: codec('ffv1', 'yuv422p10le') }],
    ['h264 in mp4', { container: 'mp4', video: codec('libx264', 'yuv420p10le') }],
  ])('camera log in %s claims no curve and no gamut', async (_, recipe) => {
    const made = await make({ ...recipe, sourceColour: LOG, colour: LOG });
    expect(made.video?.colour).toEqual({ primaries: null, transfer: null, matrix: 'bt709', range: 'narrow' });
  });

  it.each([
    ['hevc', codec('libx265', 'yuv420p10le')],
    ['h264', codec('libx264', 'yuv420p10le')],
  ])('static HDR metadata arrives in %s', async (_, video) => {
    const made = await make({ container: 'mp4', video, sourceColour: PQ, colour: PQ, hdr: DISPLAY });
    expect(made.video?.hdr).toEqual(DISPLAY);
  });
});

describe('the picture', () => {
  it.each<[string, Partial<OutputRecipe>, string]>([
    ['ffv1', { container: 'mkv', video: codec('ffv1', 'yuv422p10le') }, 'yuv422p10le'],
    ['h264 lossless', { video: codec('libx264', 'yuv422p10le', { lossless: true }) }, 'yuv422p10le'],
    ['hevc lossless', { video: codec('libx265', 'yuv422p10le', { lossless: true }) }, 'yuv422p10le'],
  ])('comes back bit for bit through %s', async (_, recipe, format) => {
    const made = await make(recipe);
    expect(await making.hash(made.path, format)).toBe(await making.hash(original.path, format));
  });

  it('carries burnt-in name and timecode', async () => {
    const plain = await make({ container: 'mkv', video: codec('ffv1', 'yuv422p10le') });
    const burnt = await make({
      container: 'mkv',
      video: codec('ffv1', 'yuv422p10le'),
      burnIn: { clipName: "it's 100% [a]: b.mov", timecode: '01:00:00;02', reel: null, text: null },
    });
    expect(await making.hash(burnt.path, 'yuv422p10le')).not.toBe(
      await making.hash(plain.path, 'yuv422p10le'),
    );
  });

  it('keeps fields through prores and h264', async () => {
    const fields = await making.source(
      'fields.mov',
      'testsrc2=s=128x72:r=50',
      ...['-vf', 'tinterlace=interleave_top,setfield=tff'],
      ...['-pix_fmt', 'yuv422p10le', '-c:v', 'prores_ks', '-flags', '+ildct', '-c:a', 'pcm_s16le'],
    );
    const scan = 'interlaced-tff' as const;
    expect(fields.facts.video?.scan).toBe(scan);
    for (const video of [codec('prores_ks', 'yuv422p10le'), codec('libx264', 'yuv422p10le')]) {
      const made = await make({ video, scan, sourceScan: scan, frameRate: '25/1' }, fields);
      expect(made.video).toMatchObject({ scan, frames: fields.facts.video?.frames });
    }
    const frames = await make({ deinterlace: true, sourceScan: scan, frameRate: '25/1' }, fields);
    expect(frames.video).toMatchObject({ scan: 'progressive', frames: fields.facts.video?.frames });
  });

  it('is sized, padded and cut', async () => {
    const video = codec('libx264', 'yuv420p');
    const padded = await make({
      video,
      raster: { width: 128, height: 128, fit: 'pad', scaledWidth: 128, scaledHeight: 72 },
    });
    const cut = await make({
      video,
      raster: { width: 72, height: 72, fit: 'crop', scaledWidth: 128, scaledHeight: 72 },
    });
    const small = await make({
      video,
      raster: { width: 64, height: 36, fit: 'exact', scaledWidth: 64, scaledHeight: 36 },
    });
    expect([padded, cut, small].map(({ video: made }) => [made?.width, made?.height])).toEqual([
      [128, 128],
      [72, 72],
      [64, 36],
    ]);
  });
});

describe('the sound', () => {
  it('of one channel is heard on both at its own level', async () => {
    const made = await make({
      audio: {
        ...{ codec: 'pcm_s24le', sampleRate: null, bitRate: null, streams: [], chosen: false },
        stereo: [{ stream: 1, left: [1], right: [1] }],
      },
    });
    expect(made.audio).toMatchObject([{ channels: 2, bitDepth: 24 }]);
    const left = join(making.folder, 'left.md5');
    const mono = join(making.folder, 'mono.md5');
    const hash = (path: string, to: string, channel: string) =>
      runFfmpeg({
        inputs: [{ path, options: [] }],
        outputs: [
          {
            path: to,
            options: ['-map', '0:a', '-af', `pan=mono|c0=${channel}`, '-c:a', 'pcm_s24le', '-f', 'md5'],
          },
        ],
      });
    await hash(made.path, left, 'c1');
    await hash(original.path, mono, 'c0');
    expect(await readFile(left, 'utf8')).toBe(await readFile(mono, 'utf8'));
  });
});
