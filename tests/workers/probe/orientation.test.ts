import { execFile } from 'node:child_process';
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { probeClip } from '../../../workers/probe/probe-clip.js';

const run = promisify(execFile);
let folder: string;
let upright: Buffer;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-orientation-test-'));
  const path = join(folder, 'upright.mp4');
  const picture = ['-f', 'lavfi', '-i', 'testsrc2=s=64x36:r=25', '-frames:v', '3'];
  await run('ffmpeg', ['-v', 'error', ...picture, '-c:v', 'mpeg4', path]);
  upright = await readFile(path);
});
afterAll(() => rm(folder, { recursive: true, force: true }));

/**
 * Matrix of the track header, after 40 bytes of it (ISO/IEC 14496-12, clause 8.3.2, version 0): a, b, u, c,
 * d, v.
 */
const MATRIX = 4 + 40;
/** A place (x, y) of the picture is shown at (ax + cy, bx + dy), y downwards (same, clause 6.2.2). */
const CASES = [
  ['upright', [1, 0, 0, 1], { rotation: 0, mirrored: false }],
  ['a quarter clockwise: right goes down, down goes left', [0, 1, -1, 0], { rotation: 90, mirrored: false }],
  ['upside down by a half turn', [-1, 0, 0, -1], { rotation: 180, mirrored: false }],
  ['a quarter anticlockwise', [0, -1, 1, 0], { rotation: 270, mirrored: false }],
  ['left as right', [-1, 0, 0, 1], { rotation: 0, mirrored: true }],
  ['top as bottom: mirrored, then a half turn', [1, 0, 0, -1], { rotation: 180, mirrored: true }],
  [
    'rows as columns: mirrored, then a quarter anticlockwise',
    [0, 1, 1, 0],
    { rotation: 270, mirrored: true },
  ],
] as const;

describe('orientation by the display matrix', () => {
  it.each(CASES)('%s', async (name, [a, b, c, d], expected) => {
    const bytes = Buffer.from(upright);
    const at = bytes.indexOf('tkhd') + MATRIX;
    [a, b, null, c, d].forEach((value, i) => {
      if (value !== null) bytes.writeInt32BE(value * 65_536, at + 4 * i);
    });
    const path = join(folder, `${name.slice(0, 8)}${a}${b}${c}${d}.mp4`);
    await writeFile(path, bytes);
    expect((await probeClip(path)).video).toMatchObject(expected);
  });
});
