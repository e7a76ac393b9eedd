import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, describe, expect, it } from 'vitest';
import type { Measurement } from '../../../../../jobs/measurement/measurement.js';
import { flat, temporaryFolder, writeKnownClip } from '../../../../media/known-clip.js';
import { measureFile } from '../../../../media/measure-file.js';
import {
  drawFrames,
  movingBox,
  movingTexture,
  PROGRESSIVE,
  type Sampling,
  type Scene,
  TOP_FIRST,
} from './moving-picture.js';

// The truth of every picture here is how it was drawn: at which time its even and its odd lines were taken.
const SHAPE = { width: 192, height: 128, depth: 8 };
const FRAMES = 12;
const folder = await temporaryFolder();
afterAll(folder.remove);

/** @param copied into FFV1, whose name says nothing of the coarse generation before */
async function measured(
  name: string,
  frames: readonly Uint16Array[],
  encode: readonly string[],
  copied = false,
) {
  const chroma = flat(128, (SHAPE.width * SHAPE.height) / 4);
  const path = join(folder.path, `${name.replace(/[^a-z0-9]+/gi, ' ')}.mkv`);
  const planes = frames.map((luma) => [Array.from(luma), chroma, chroma]);
  await writeKnownClip(path, { ...SHAPE, pixelFormat: 'yuv420p', frames: planes, encode });
  if (!copied) return measureFile(path);
  const copy = join(folder.path, `${name} copy.mkv`);
  await execa('ffmpeg', ['-v', 'error', '-nostdin', '-i', path, '-c:v', 'ffv1', copy]);
  return measureFile(copy);
}

/** What nobody could tell from the picture must not be said for sure. */
function sureOf({ fields }: Pick<Measurement, 'fields'>): string | null {
  return fields?.confidence === 'high' ? fields.scan : null;
}

describe('slow motion under coarse coding, which takes the combing away', () => {
  const SCENES: readonly (readonly [string, Scene])[] = [
    ['a pan of half a pixel a field', movingTexture(15, 1, 0, 4)],
    ['a tilt of half a line a field', movingTexture(15, 0, 1, 4)],
  ];
  const SAMPLINGS: readonly (readonly [string, Sampling])[] = [
    ['progressive', PROGRESSIVE],
    ['interlaced-tff', TOP_FIRST],
  ];
  const cases = SCENES.flatMap(([what, scene]) =>
    SAMPLINGS.flatMap(([scan, sampling]) => [12, 31].map((q) => ({ what, scene, scan, sampling, q }))),
  );
  it.each(cases)('$what, $scan, MPEG-2 at a quantiser of $q', async ({ what, scene, scan, sampling, q }) => {
    const frames = drawFrames(scene, sampling, FRAMES, SHAPE);
    const encode = ['-c:v', 'mpeg2video', '-q:v', String(q)];
    expect([null, scan]).toContain(sureOf(await measured(`${what} ${scan} ${q}`, frames, encode)));
  });

  const interlaced = SCENES.flatMap(([what, scene]) =>
    [
      ['mpeg2video', '-q:v', '6', '-flags', '+ildct+ilme'],
      ['libx264', '-crf', '34', '-preset', 'fast', '-x264-params', 'tff=1'],
    ].map((codec) => ({ what, scene, codec })),
  );
  it.each(interlaced)('$what, interlaced, $codec copied into FFV1', async ({ what, scene, codec }) => {
    const frames = drawFrames(scene, TOP_FIRST, FRAMES, SHAPE);
    const found = await measured(`${what} ${codec[0]}`, frames, ['-c:v', ...codec], true);
    expect([null, 'interlaced-tff']).toContain(sureOf(found));
  });

  it('is still told where the motion combs by more than coding takes', async () => {
    const pan = movingTexture(2, 11, -2);
    for (const [scan, sampling] of SAMPLINGS) {
      const frames = drawFrames(pan, sampling, FRAMES, SHAPE);
      expect(sureOf(await measured(`fast ${scan}`, frames, ['-c:v', 'mpeg2video', '-q:v', '8']))).toBe(scan);
    }
  });
});

describe('each line twice: a progressive picture of half the lines combs and leans like fields', () => {
  const SCENES: readonly (readonly [string, Scene])[] = [
    ['half a line a frame', movingTexture(5, 0, 0.5)],
    ['a pan', movingTexture(5, 4, 0)],
    ['a box', movingBox(4, 3, 1)],
  ];
  const cases = SCENES.flatMap(([what, scene]) => [0, 1].map((offset) => ({ what, scene, offset })));
  it.each(cases)('$what, pairs from line $offset on: fields are not told', async (made) => {
    const doubled: Scene = (x, y, t) => made.scene(x, Math.floor((y + made.offset) / 2), t);
    const frames = drawFrames(doubled, PROGRESSIVE, FRAMES, SHAPE);
    const exact = await measured(`${made.what} ${made.offset}`, frames, ['-c:v', 'ffv1']);
    expect(exact.fields).toBeNull();
    expect(exact.unmeasured.map(({ what }) => what)).toContain('fields');
    const coarse = ['-c:v', 'mpeg2video', '-q:v', '6'];
    for (const copied of [false, true]) {
      const name = `${made.what} ${made.offset} coarse ${copied}`;
      const { fields } = await measured(name, frames, coarse, copied);
      // Coding wears pairs away: then no fields are sure.
      if (fields !== null) expect([null, 'progressive']).toContain(sureOf({ fields }));
    }
  });

  it('fields are no pairs of lines, however they move', async () => {
    for (const [what, scene] of [
      ['box', movingBox(4, 5, 0.5)],
      ['pan', movingTexture(3, 3, 1)],
    ] as const) {
      const frames = drawFrames(scene, TOP_FIRST, FRAMES, SHAPE);
      const { fields } = await measured(`fields ${what}`, frames, ['-c:v', 'ffv1']);
      expect(fields?.scan).toBe('interlaced-tff');
    }
  });
});
