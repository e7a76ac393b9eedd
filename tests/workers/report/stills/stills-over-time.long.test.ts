import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { requirementSet } from '../../../../jobs/requirements/requirement.js';
import { flat, temporaryFolder, writeKnownClip } from '../../../media/known-clip.js';
import { type JudgedClip, judgeClip, type SeenPicture, seePicture, stillsOf } from './judged-clip.js';

const WIDTH = 160;
const HEIGHT = 96;
const FRAMES = 50;
const SDR = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'tv' } as const;

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
beforeAll(async () => {
  folder = await temporaryFolder();
});
afterAll(() => folder.remove());

/** A clip whose Y' code is a function of place and frame. */
async function clipOf(
  name: string,
  code: (x: number, y: number, frame: number) => number,
  require: Record<string, unknown>,
): Promise<JudgedClip> {
  const chroma = flat(512, (WIDTH * HEIGHT) / 2);
  const frames = Array.from({ length: FRAMES }, (_, frame) => [
    Array.from({ length: WIDTH * HEIGHT }, (_, i) => code(i % WIDTH, Math.floor(i / WIDTH), frame)),
    chroma,
    chroma,
  ]);
  const path = join(folder.path, name);
  const size = { width: WIDTH, height: HEIGHT, pixelFormat: 'yuv422p10le' };
  await writeKnownClip(path, { ...size, frames, colour: SDR, timecode: '10:00:00:00' });
  return judgeClip(path, requirementSet.parse(require));
}

async function pictureOf(clip: JudgedClip, requirement: string) {
  const [still, ...more] = (await stillsOf(clip)).of(requirement);
  expect(more).toEqual([]);
  return { still, picture: await seePicture(still, join(folder.path, 'seen.jpg')) };
}

/** Whether a line of the hatch or an outline, white or black, crosses a row of flat grey. */
function isMarked(picture: SeenPicture, y: number, from: number, to: number): boolean {
  const row = Array.from({ length: to - from }, (_, i) => picture.at(from + i, y)[0]);
  return Math.max(...row) - Math.min(...row) > 60;
}

describe('a still of a finding over time', () => {
  it('flashes: the frame in which most of the screen changed at once, and what changed in it', async () => {
    // The right half is 0 or 200 cd/m2 in turn, 2 frames each (BT.1702-3, Annex 2: white of the SDR display):
    // 6.25 flashes a second over half the screen. In frame 30 the left quarter brightens too: three quarters
    // at once.
    const clip = await clipOf(
      'flash.mov',
      (x, _, frame) => {
        if (x >= 80) return frame >= 10 && (frame - 10) % 4 < 2 ? 940 : 64;
        return x < 40 && frame >= 30 ? 940 : 300;
      },
      { flashes: {} },
    );
    expect(clip.measurement.flashes?.general.worstSecond).toMatchObject({ area: 0.75 });
    const { still, picture } = await pictureOf(clip, 'flashes');
    expect(still).toMatchObject({ frame: 30, timecode: '10:00:01:05' });
    expect(still?.caption).toMatch(
      /^Outlined and hatched: 75 % of the picture, which changes in light at once/,
    );
    expect(still?.caption).toContain('SDR, shown as it is');
    expect(isMarked(picture, 48, 4, 36)).toBe(true);
    expect(isMarked(picture, 48, 88, 156)).toBe(true);
    expect(isMarked(picture, 48, 50, 70)).toBe(false);
  });

  it('active picture: the bars that are there, not the ones that are wanted', async () => {
    // Moving noise between bars of 12 lines.
    const clip = await clipOf(
      'bars.mov',
      (x, y, frame) => (y < 12 || y >= 84 ? 64 : 500 + ((x * 31 + y * 17 + frame * 7) % 40)),
      { 'active-picture': { area: { left: 0, top: 0, width: WIDTH, height: HEIGHT } } },
    );
    expect(clip.verdict.verdict).toBe('fail');
    const { still, picture } = await pictureOf(clip, 'active-picture');
    expect(still?.caption).toMatch(
      /^Outlined and hatched: 25 % of the picture, the black around the picture/,
    );
    expect(isMarked(picture, 6, 4, 156)).toBe(true);
    expect(isMarked(picture, 90, 4, 156)).toBe(true);
    expect(isMarked(picture, 48, 4, 156)).toBe(false);
  });

  it('blank edges: the lines, on their side', async () => {
    const clip = await clipOf(
      'blank.mov',
      (x, y, frame) => (x < 1 ? 64 : 500 + ((x * 31 + y * 17 + frame * 7) % 40)),
      { 'blank-edges': {} },
    );
    const { still, picture } = await pictureOf(clip, 'blank-edges');
    expect(still?.caption).toMatch(/^Outlined and hatched: black lines, 1 at the left/);
    // One line is black; the outline lies 7 pixels beside it.
    expect(isMarked(picture, 48, 4, 10)).toBe(true);
    expect(isMarked(picture, 48, 16, 156)).toBe(false);
  });

  it('black frames: what is seen is said, and nothing is marked', async () => {
    const clip = await clipOf(
      'black.mov',
      (x, y, frame) => (frame >= 20 && frame < 30 ? 64 : 400 + ((x + y + frame) % 90)),
      {
        'black-frames': { maxFrames: 3 },
      },
    );
    const stills = (await stillsOf(clip)).of('black-frames');
    // Black tells nothing of where it lies: its neighbours do.
    expect(stills.map(({ frame, caption }) => [frame, caption])).toEqual([
      [20, 'The first black frame, nothing marked; SDR, shown as it is.'],
      [19, 'The frame before, nothing marked; SDR, shown as it is.'],
      [30, 'The first frame after, nothing marked; SDR, shown as it is.'],
    ]);
  });
});
