import { mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { linesBelow } from '../../../workers/make/lines-below.js';

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-lines-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const ffmpeg = (...args: string[]) =>
  execa('ffmpeg', ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...args], { stdin: 'ignore' });

it.each([
  ['cfhd', 1080, []],
  ['prores_ks', 1081, []],
  [
    'cfhd',
    108,
    ['pad=w=iw:h=112:x=0:y=0', 'fillborders=bottom=4:mode=smear', 'crop=w=iw:h=108:x=0:y=0:exact=1'],
  ],
] as const)('%s, %i lines', (encoder, height, filters) => {
  expect(linesBelow(encoder, height)).toEqual(filters);
});

const WIDTH = 192;
/** Of four codes at 10 bits: what this encoder costs at its finest on such a picture is below two. */
const MOST_ERROR = 4;

/**
 * Frames in memory of a filter's own, as in a batch. A height of whole groups shows what coding costs;
 * without the lines below every other came back ten times worse, chroma most, other at each run.
 */
describe('CineForm of frames from a filter', () => {
  it.each([96, 100, 108, 110])('keeps every plane at %i lines', async (height) => {
    const [from, copy] = [join(folder, 'from.raw'), join(folder, 'copy.raw')];
    const made = join(folder, 'made.mov');
    const source = `testsrc2=s=${WIDTH}x${height}:r=25,format=yuv422p10le`;
    const raw = ['-frames:v', '3', '-c:v', 'rawvideo', '-pix_fmt', 'yuv422p10le', '-f', 'rawvideo'];
    const filters = ['hflip,hflip', ...linesBelow('cfhd', height)].join(',');
    await ffmpeg(
      ...['-f', 'lavfi', '-i', source, ...raw, from, '-vf', filters, '-frames:v', '3'],
      ...['-c:v', 'cfhd', '-quality', 'film3+', made],
    );
    await ffmpeg('-i', made, ...raw, copy);
    const planes = planesOf(await readFile(from), await readFile(copy), height);
    expect(planes).toHaveLength(3);
    for (const rms of planes) expect(rms).toBeLessThan(MOST_ERROR);
  });
});

/** RMS error of each plane of raw 4:2:2 frames, in codes. */
function planesOf(original: Buffer, copy: Buffer, height: number): number[] {
  const [luma, chroma] = [WIDTH * height, (WIDTH / 2) * height];
  const frame = luma + 2 * chroma;
  expect(copy.length).toBe(original.length);
  return [
    [0, luma],
    [luma, chroma],
    [luma + chroma, chroma],
  ].map(([from = 0, count = 0]) => {
    let sum = 0;
    let samples = 0;
    for (let start = from; (start + count) * 2 <= original.length; start += frame) {
      for (let i = start; i < start + count; i++, samples++) {
        sum += (original.readUInt16LE(2 * i) - copy.readUInt16LE(2 * i)) ** 2;
      }
    }
    return Math.sqrt(sum / samples);
  });
}
