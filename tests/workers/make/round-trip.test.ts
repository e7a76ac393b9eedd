import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { OutputRecipe, PlannedClip } from '../../../jobs/plan/plan.js';
import { runFfmpeg } from '../../../workers/ffmpeg/run-ffmpeg.js';
import { Making, NOISE } from './making.js';
import { codec, DISPLAY, LOG, PQ } from './recipes.js';

/** What is asked of makeCommand must be there when the file is read back. */
let making: Making;
let original: PlannedClip;

beforeAll(async () => {
  making = await Making.begin();
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
  return making.make(recipe, clip);
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
