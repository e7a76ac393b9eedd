import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { makePattern, PATTERN_NAMES } from '../../../signal/pattern/patterns.js';
import { runFfmpeg } from '../../../workers/ffmpeg/run-ffmpeg.js';
import { writePattern } from '../../../workers/pattern/write-pattern.js';
import { probeClip } from '../../../workers/probe/probe-clip.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-patterns-'));
});
afterAll(() => rm(folder, { recursive: true }));

/** What a pattern must be is held against its standard in tests/standards/bars.test.ts. */
describe('a file holds every code of the picture, in every frame, and says what they mean', () => {
  const cases = PATTERN_NAMES.map((name) => ({ name, shape: { width: 322, height: 182, depth: 12 } }));
  it.each(cases)('$name', async ({ name, shape }) => {
    const picture = makePattern(name, shape);
    const { width, height, depth, colour, planes } = picture;
    const path = join(folder, `${name} it's.mkv`);
    await writePattern(picture, path, { frames: 2, frameRate: '25/1' });
    const isRgb = colour.matrix === 'gbr';
    const raw = join(folder, `${name}.raw`);
    const format = `${isRgb ? 'gbrp' : 'yuv444p'}${depth}le`;
    const { exitCode } = await runFfmpeg({
      inputs: [{ path, options: [] }],
      outputs: [{ path: raw, options: ['-f', 'rawvideo', '-pix_fmt', format] }],
    });
    expect(exitCode).toBe(0);
    const order = isRgb ? [planes[1], planes[2], planes[0]] : planes;
    const frame = Buffer.concat(order.map((plane) => new Uint8Array(plane.buffer)));
    expect(frame.length).toBe(width * height * 3 * 2);
    expect((await readFile(raw)).equals(Buffer.concat([frame, frame]))).toBe(true);
    const { video } = await probeClip(path);
    const { transfer, primaries, range } = colour;
    expect(video?.colour).toMatchObject({ primaries, transfer, range });
    if (!isRgb) expect(video?.colour.matrix).toBe(colour.matrix);
  });
});
