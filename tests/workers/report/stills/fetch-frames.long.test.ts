import { readFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { parseRational } from '../../../../signal/rational.js';
import { probeClip } from '../../../../workers/probe/probe-clip.js';
import { FetchError, fetchFrames } from '../../../../workers/report/stills/fetch-frames.js';
import { countAll, planFetch } from '../../../../workers/report/stills/fetch-plan.js';
import { flat, temporaryFolder, writeKnownClip } from '../../../media/known-clip.js';
import { measured, there } from '../../judge/measured.js';

const WIDTH = 64;
const HEIGHT = 36;
const PIXELS = WIDTH * HEIGHT;
const FRAMES = 700;

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
beforeAll(async () => {
  folder = await temporaryFolder();
});
afterAll(() => folder.remove());

/**
 * The level of a frame: no other frame has it, and the neighbours' lie far away. 391 and 700 have no common
 * divisor.
 */
function lumaOf(frame: number): number {
  return 100 + ((frame * 391) % FRAMES);
}

/**
 * Long groups with pictures that depend on later ones, open to the group before; lossless, so that a level is
 * proof.
 */
const HARD_H264 = ['-c:v', 'libx264', '-qp', '0', '-g', '250', '-bf', '3', '-x264-params', 'open-gop=1'];
const CLIPS = [
  { name: 'every picture by itself.mov', rate: '30000/1001', encode: ['-c:v', 'v410'] },
  { name: 'ffv1.mkv', rate: '25', encode: ['-c:v', 'ffv1', '-level', '3', '-g', '60'] },
  { name: 'h264.mp4', rate: '30000/1001', encode: HARD_H264 },
  { name: 'h264.mkv', rate: '24000/1001', encode: [...HARD_H264, '-output_ts_offset', '7.3'] },
  { name: 'h264 timecode.mov', rate: '25', encode: [...HARD_H264, '-timecode', '10:00:00:00'] },
] as const;

describe('the frame of this number, and no other', () => {
  it.each(CLIPS)('$name', async ({ name, rate, encode }) => {
    const path = join(folder.path, name);
    await writeKnownClip(path, {
      width: WIDTH,
      height: HEIGHT,
      pixelFormat: 'yuv444p10le',
      rate,
      frames: Array.from({ length: FRAMES }, (_, frame) => [
        flat(lumaOf(frame), PIXELS),
        flat(512, PIXELS),
        flat(512, PIXELS),
      ]),
      encode,
    });
    const { video } = await probeClip(path);
    if (video === null) throw new Error('there is a picture');
    const pipe = join(folder.path, 'frames.raw');
    const levels = async (plan: Parameters<typeof fetchFrames>[0]): Promise<number[]> => {
      await fetchFrames(plan, { path, video, pipe });
      const raw = await readFile(pipe);
      const frameBytes = PIXELS * 3 * 2;
      return Array.from({ length: raw.length / frameBytes }, (_, i) => raw.readUInt16LE(i * frameBytes));
    };
    const counted = [0, 7, 8, 251, FRAMES - 1];
    expect(await levels(countAll(counted))).toEqual(counted.map(lumaOf));
    for (const sought of [[FRAMES - 1], [0, 1, 500, 501, 502, 611, FRAMES - 2, FRAMES - 1]]) {
      const plan = { counted: [], sought, rate: parseRational(rate) };
      expect(await levels(plan), `frames ${sought.join(' ')}`).toEqual(sought.map(lumaOf));
    }
    // The last of them is not there any more.
    await expect(
      levels({ counted: [], sought: [FRAMES - 1, FRAMES], rate: parseRational(rate) }),
    ).rejects.toThrow(FetchError);
    await expect(levels({ counted: [], sought: [FRAMES], rate: parseRational(rate) })).rejects.toThrow(
      FetchError,
    );
    await expect(levels(countAll([3, FRAMES]))).rejects.toThrow(FetchError);
    // At a rate that is not the file's, the time stamp found is of another frame.
    await expect(levels({ counted: [], sought: [500], rate: { num: 29, den: 1 } })).rejects.toThrow(
      FetchError,
    );
  });
});

describe('how frames are fetched', () => {
  const MOV = 'mov,mp4,m4a,3gp,3g2,mj2';
  const [SMALL, UHD] = [
    { width: 640, height: 360 },
    { width: 3840, height: 2160 },
  ];
  const H264 = { codec: 'h264', ...UHD };
  it.each([
    ['a steady file with an index', MOV, H264, true, [3, 499], [500, 150_000]],
    ['a container without an index', 'mpegts', H264, true, [3, 499, 500], []],
    ['a rate that wanders', MOV, H264, false, [3, 499, 500], []],
    ['a rate nobody knows', 'matroska,webm', H264, null, [3, 499, 500], []],
    // Sixteen megapixels are decoded sooner than sought: two frames of UHD, seventy small ones.
    ['pictures coded by themselves', MOV, { codec: 'prores', ...UHD }, true, [], [3, 499, 500, 150_000]],
    ['small ones', MOV, { codec: 'prores', ...SMALL }, true, [3], [499, 500, 150_000]],
    ['small ones without an index', 'mpegts', { codec: 'prores', ...SMALL }, true, [3, 499, 500], []],
  ])('%s', (_, format, picture, constantRate, counted, sought) => {
    const LONG = { frameRate: '25/1', frames: 200_000, ...picture };
    const measurement = measured((m) => {
      m.container.format = format;
      Object.assign(there(m.video, 'picture'), LONG, { constantRate });
    });
    expect(planFetch([3, 499, 500, 150_000], measurement)).toMatchObject({ counted, sought });
  });
});
