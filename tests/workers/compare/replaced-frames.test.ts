import { readFile, writeFile } from 'node:fs/promises';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { compareFrames } from '../../../workers/compare/pairs/compare-frames.js';
import { chooseFrames } from '../../../workers/compare/sampling/choose-frames.js';
import {
  isKnown,
  planeGeometry,
  type SampleLayout,
  sampleLayout,
} from '../../../workers/measure/picture/plan/sample-layout.js';
import { HEIGHT, Pairs, WIDTH } from './pairs.js';

/**
 * Ten frames put together from the frames of the original and of another picture. What a copy shows is known
 * from the order it was put together in.
 */
const FORMAT = 'yuv422p10le';
const FRAMES = 10;
const OTHER = -1;
const ALL = Array.from({ length: FRAMES }, (_, frame) => frame);
const held = (frame: number): number => Math.min(Math.max(frame, 0), FRAMES - 1);
const replaced = (order: readonly number[], ...frames: readonly number[]): number[] =>
  order.map((shows, frame) => (frames.includes(frame) ? OTHER : shows));
const late = (by: number): number[] => ALL.map((frame) => held(frame - by));

const ROWS: readonly (readonly [string, readonly number[], string | null])[] = [
  ['as it is', ALL, null],
  ...[0, 1, 5, 9].map((frame) => [`frame ${frame} replaced`, replaced(ALL, frame), null] as const),
  ['two replaced, apart', replaced(ALL, 1, 5), null],
  ['two replaced, both looked at', replaced(ALL, 5, 8), null],
  ['two in a row', replaced(ALL, 5, 6), null],
  ['three replaced, all looked at', replaced(ALL, 1, 5, 8), null],
  ['three in a row', replaced(ALL, 4, 5, 6), null],
  ['three replaced', replaced(ALL, 0, 5, 9), null],
  ['late', late(1), 'the copy is one frame late'],
  ['early', late(-1), 'the copy is one frame early'],
  ['late, and one replaced', replaced(late(1), 5), 'the copy is one frame late'],
  ['early, and one replaced', replaced(late(-1), 5), 'the copy is one frame early'],
  ['late, and the first replaced', replaced(late(1), 0), 'the copy is one frame late'],
  ['early, and the last replaced', replaced(late(-1), 9), 'the copy is one frame early'],
  // Frames beside the next are not taken: what `same-frames` tells of every frame.
  ['two late', late(2), null],
  ['two early', late(-2), null],
  ['two late, and one replaced', replaced(late(2), 5), null],
];

const CODED = [
  { coder: 'without loss', name: 'original.mkv', other: 'other.mkv' },
  { coder: 'ProRes HQ', name: 'prores.mov', other: 'prores-other.mov' },
  { coder: 'H.264 crf 10', name: 'h264.mp4', other: 'h264-other.mp4' },
];

function layoutOf(pixelFormat: string): SampleLayout {
  const layout = sampleLayout(pixelFormat);
  if (!isKnown(layout)) throw new Error(layout.unknown);
  return layout;
}
const layout = layoutOf(FORMAT);
const form = { layout, width: WIDTH, height: HEIGHT, range: 'narrow' as const };
const bytes = planeGeometry(layout, WIDTH, HEIGHT).frameBytes;

const CHOSEN = chooseFrames(FRAMES, { ofCopy: FRAMES, bytes, deinterlace: false });

let pairs: Pairs;
beforeAll(async () => {
  pairs = await Pairs.begin();
  const prores = ['-c:v', 'prores_ks', '-profile:v', 'hq'];
  const h264 = ['-c:v', 'libx264', '-preset', 'veryfast', '-crf', '10'];
  await pairs.copy(await pairs.draw('original.mkv', FORMAT), [
    { name: 'prores.mov', filters: 'null', options: prores },
    { name: 'h264.mp4', filters: 'null', options: h264 },
  ]);
  const fractal = 'mandelbrot=s=192x108:rate=25:start_scale=1.2:end_scale=0.9:end_pts=12';
  await pairs.copy(await pairs.draw('other.mkv', FORMAT, fractal), [
    { name: 'prores-other.mov', filters: 'null', options: prores },
    { name: 'h264-other.mp4', filters: 'null', options: h264 },
  ]);
  await pairs.raw(
    CODED.flatMap(({ name, other }) => [name, other].map((each) => ({ name: each, pixelFormat: FORMAT }))),
  );
});
afterAll(() => pairs.end());

async function mistakeOf(order: readonly number[], name: string, other: string) {
  const [own, foreign] = await Promise.all([name, other].map((each) => readFile(pairs.path(`${each}.raw`))));
  const put = order.map((shows, frame) => {
    const from = shows === OTHER ? frame : shows;
    return (shows === OTHER ? foreign : own)?.subarray(from * bytes, (from + 1) * bytes) ?? Buffer.alloc(0);
  });
  await writeFile(pairs.path('put.raw'), Buffer.concat(put));
  const file = (path: string) => ({ form, file: pairs.path(path), frames: ALL });
  return compareFrames({
    ...{ original: file('original.mkv.raw'), copy: file('put.raw') },
    ...{ frames: CHOSEN.frames, depth: layout.depth },
  }).mistake;
}

describe.each(CODED)('$coder', ({ name, other }) => {
  it.each(ROWS)('%s', async (_, order, detail) => {
    const mistake = await mistakeOf(order, name, other);
    if (detail === null) expect(mistake).toBeNull();
    else expect(mistake).toMatchObject({ name: 'frame-offset', detail });
  });
});
