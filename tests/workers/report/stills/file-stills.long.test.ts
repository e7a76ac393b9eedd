import { appendFile, copyFile, rm, stat, truncate, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { requirementSet } from '../../../../jobs/requirements/requirement.js';
import { judge } from '../../../../workers/judge/judge.js';
import { flat, type KnownClip, temporaryFolder, writeKnownClip } from '../../../media/known-clip.js';
import { type JudgedClip, judgeClip, meanOf, type SeenPicture, seePicture, stillsOf } from './judged-clip.js';

const WIDTH = 160;
const HEIGHT = 90;
const PIXELS = WIDTH * HEIGHT;
/** Left, top, right, bottom; the last two are outside. */
const AREA = [40, 20, 100, 50] as const;
const AREA_SHARE = (60 * 30) / PIXELS;
const PQ_COLOUR = { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc', range: 'tv' } as const;
const HLG_COLOUR = { ...PQ_COLOUR, transfer: 'arib-std-b67' } as const;
const SDR_COLOUR = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'tv' } as const;

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
beforeAll(async () => {
  folder = await temporaryFolder();
});
afterAll(() => folder.remove());

/** Ten frames of one grey each, all different from frame 7's; frame 7 has another level in the area. */
function frames(background: number, inArea: number, other: number): number[][][] {
  return Array.from({ length: 10 }, (_, frame) => {
    const luma = flat(frame === 7 ? background : other + frame, PIXELS);
    if (frame === 7) {
      for (let y = AREA[1]; y < AREA[3]; y++) luma.fill(inArea, y * WIDTH + AREA[0], y * WIDTH + AREA[2]);
    }
    return [luma, flat(512, PIXELS / 2), flat(512, PIXELS / 2)];
  });
}

async function clipOf(name: string, clip: Partial<KnownClip> & Pick<KnownClip, 'frames'>): Promise<string> {
  const path = join(folder.path, name);
  const given = { width: WIDTH, height: HEIGHT, pixelFormat: 'yuv422p10le', colour: PQ_COLOUR };
  await writeKnownClip(path, { ...given, ...clip });
  return path;
}

/** The same size, and nothing of it a clip. */
async function overwrite(path: string): Promise<void> {
  const { size } = await stat(path);
  await writeFile(path, Buffer.alloc(size, 'no clip '));
}

const PEAK = requirementSet.parse({ 'peak-luminance': { max: 1000 } });
const see = (still: Parameters<typeof seePicture>[0]): Promise<SeenPicture> =>
  seePicture(still, join(folder.path, 'seen.jpg'));

/**
 * Everything further than the outline from the area is the background, within what JPEG blurs around an edge;
 * and the area has a white outline, a black one inside it, and lines across.
 */
function expectMarked(picture: SeenPicture, background: number): void {
  const [left, top, right, bottom] = AREA;
  const room = 10;
  let worst = 0;
  for (let y = 0; y < HEIGHT; y += 1) {
    for (let x = 0; x < WIDTH; x += 1) {
      const isNear = x >= left - room && x < right + room && y >= top - room && y < bottom + room;
      if (isNear) continue;
      for (const code of picture.at(x, y)) worst = Math.max(worst, Math.abs(code - background));
    }
  }
  expect(worst).toBeLessThanOrEqual(6);
  const middle = Math.floor((left + right) / 2);
  for (const [x, y] of [
    [middle, top - 2],
    [middle, bottom + 1],
    [left - 2, 35],
    [right + 1, 35],
  ] as const) {
    expect(Math.min(...picture.at(x, y)), `white at ${x},${y}`).toBeGreaterThan(200);
  }
  for (const [x, y] of [
    [middle, top - 1],
    [middle, bottom],
    [left - 1, 35],
    [right, 35],
  ] as const) {
    expect(Math.max(...picture.at(x, y)), `black at ${x},${y}`).toBeLessThan(60);
  }
  // A line of the hatch crosses every row of the area.
  const row = Array.from({ length: 40 }, (_, i) => picture.at(left + 5 + i, 35)[0]);
  expect(Math.min(...row)).toBeLessThan(60);
}

describe('a still of the frame over the limit', () => {
  it('PQ: the right frame, rendered to SDR and said so, the area marked and nothing else', async () => {
    // 573 is 203.7 cd/m2 and 800 is over 2,000 (ST 2084, narrow, 10 bits); every other frame is brighter in
    // the ground.
    const path = await clipOf('pq.mov', { frames: frames(573, 800, 590), timecode: '10:00:00:00' });
    const judged = await judgeClip(path, PEAK);
    expect(judged.verdict.verdict).toBe('fail');
    const { of } = await stillsOf(judged);
    const [still, ...more] = of('peak-luminance');
    expect(more).toEqual([]);
    expect(still).toMatchObject({ frame: 7, timecode: '10:00:00:07' });
    expect(still?.caption).toMatch(/12\.5 % of the picture, brighter than 1004\.2 cd\/m²/);
    expect(still?.caption).toMatch(/rendered to SDR by goodgate.*BT\.2446 method A/);
    const picture = await see(still);
    expect([picture.width, picture.height]).toEqual([WIDTH, HEIGHT]);
    // Report BT.2446-1 method A: grey of 203 cd/m2 becomes 40.5953 of 100 cd/m2 (calculated outside this
    // project from its constants); BT.1886 with black at 0 codes light by the power 1/2.4.
    const ground = 255 * 0.405953 ** (1 / 2.4);
    const mean = meanOf(picture, [0, 60, WIDTH, HEIGHT]);
    for (const code of mean) expect(Math.abs(code - ground)).toBeLessThanOrEqual(1.5);
    expectMarked(picture, ground);
  });

  it('HLG: judged and rendered as on a display of 1,000 cd/m2', async () => {
    // HLG signal 0.75 (code 721) is 203 cd/m2 there (BT.2408-8 Table 1); 940 is 1,000 cd/m2.
    const path = await clipOf('hlg.mkv', { frames: frames(721, 940, 730), colour: HLG_COLOUR });
    const { of } = await stillsOf(
      await judgeClip(path, requirementSet.parse({ 'peak-luminance': { max: 600 } })),
    );
    const [still] = of('peak-luminance');
    expect(still?.frame).toBe(7);
    expect(still?.caption).toMatch(/12\.5 % .*rendered to SDR by goodgate/);
    const picture = await see(still);
    const mean = meanOf(picture, [0, 60, WIDTH, HEIGHT]);
    for (const code of mean) expect(Math.abs(code - 255 * 0.405953 ** (1 / 2.4))).toBeLessThanOrEqual(1.5);
  });

  it('SDR is shown as it is, narrow codes as full', async () => {
    const path = await clipOf('sdr.mov', { frames: frames(400, 1010, 410), colour: SDR_COLOUR });
    const { of } = await stillsOf(await judgeClip(path, requirementSet.parse({ 'signal-range': {} })));
    const [still] = of('signal-range');
    expect(still?.frame).toBe(7);
    expect(still?.caption).toContain('EBU R 103');
    expect(still?.caption).not.toMatch(/render/i);
    // BT.709-6 item 4.6: (400 - 64) / 876 of white.
    const ground = (255 * (400 - 64)) / 876;
    const picture = await see(still);
    for (const code of meanOf(picture, [0, 60, WIDTH, HEIGHT])) {
      expect(Math.abs(code - ground)).toBeLessThanOrEqual(1.5);
    }
    // A step from 400 to 1010 through the filter: columns beside the edge get 0 to 10/16 of it and stay
    // inside 984, so the area outside the tolerance is smaller than the rectangle, and never larger.
    const said = Number(/: ([\d.]+) % of the picture/.exec(still?.caption ?? '')?.[1]) / 100;
    expect(said).toBeLessThan(AREA_SHARE);
    expect(said).toBeGreaterThan(AREA_SHARE * 0.75);
  });

  it('reserved codes are marked where they are stored', async () => {
    const path = await clipOf('reserved.mkv', { frames: frames(400, 1021, 410), colour: SDR_COLOUR });
    const { of } = await stillsOf(await judgeClip(path, requirementSet.parse({ 'reserved-codes': {} })));
    const [still] = of('reserved-codes');
    expect(still?.frame).toBe(7);
    expect(still?.caption).toMatch(/12\.5 % of the picture, stored at codes SDI keeps/);
    expectMarked(await see(still), (255 * (400 - 64)) / 876);
  });

  it('a colour outside P3, in a file named with signs that mean something elsewhere', async () => {
    // A saturated green of BT.2020 in PQ: Y'CbCr of R' = B' = 0.1, G' = 0.5 (BT.2100-3 Table 6).
    const luma = 0.678 * 0.4 + 0.1;
    const cb = (0.1 - luma) / 1.8814;
    const cr = (0.1 - luma) / 1.4746;
    const all = frames(400, Math.round(64 + 876 * luma), 410);
    const green = all[7];
    for (const [plane, value] of [
      [1, cb],
      [2, cr],
    ] as const) {
      for (let y = AREA[1]; y < AREA[3]; y++) {
        const row = (y * WIDTH) / 2;
        green?.[plane]?.fill(Math.round(512 + 896 * value), row + AREA[0] / 2, row + AREA[2] / 2);
      }
    }
    const path = await clipOf("100%d 'a': [b],;=é\\ .mkv", { frames: all });
    const { of } = await stillsOf(
      await judgeClip(path, requirementSet.parse({ 'outside-p3': { maxArea: 0.01 } })),
    );
    const [still] = of('outside-p3');
    expect(still?.frame).toBe(7);
    expect(still?.caption).toMatch(/12\.5 % of the picture, outside P3-D65/);
  });
});

describe('no still, and no failure', () => {
  let clip: JudgedClip;
  beforeAll(async () => {
    clip = await judgeClip(await clipOf('bad.mkv', { frames: frames(573, 800, 590) }), PEAK);
  });
  /** A copy the measurement is taken to be of. */
  const copyOf = async (name: string): Promise<JudgedClip> => {
    const path = join(folder.path, name);
    await copyFile(clip.path, path);
    return { ...clip, path };
  };

  it('of a damaged file', async () => {
    const path = join(folder.path, 'cut.mkv');
    await copyFile(clip.path, path);
    await truncate(path, Math.round(clip.measurement.file.bytes * 0.9));
    const judged = await judgeClip(path, PEAK);
    expect(judged.verdict.verdict).toBe('fail');
    const { of, heard } = await stillsOf(judged);
    expect(of('peak-luminance')).toEqual([]);
    expect(heard).toEqual([]);
  });

  it.each([
    ['that has gone', (path: string) => rm(path), 'no such file'],
    ['that has grown', (path: string) => appendFile(path, 'x'), 'not the one that was measured'],
    ['that is no clip any more', (path: string) => overwrite(path), 'ffmpeg'],
  ])('of a file %s', async (what, change, why) => {
    const copy = await copyOf(`${what}.mkv`);
    await change(copy.path);
    const { of, heard } = await stillsOf(copy);
    expect(of('peak-luminance')).toEqual([]);
    expect(heard).toHaveLength(1);
    expect(JSON.stringify(heard[0])).toContain(why);
  });

  it('where the frame does not show what was measured', async () => {
    const { luminance } = clip.measurement;
    if (luminance === null) throw new Error('PQ has luminance');
    const measurement = { ...clip.measurement, luminance: { ...luminance, maxCll: 1500 } };
    const { of, heard } = await stillsOf({ ...clip, measurement });
    expect(of('peak-luminance')).toEqual([]);
    expect(heard.map(({ message }) => message)).toContain('frames do not show what was measured');
  });

  it('when somebody stops it', async () => {
    const { of } = await stillsOf(clip, { signal: AbortSignal.abort() });
    expect(of('peak-luminance')).toEqual([]);
  });

  it('when somebody stops it in the middle', async () => {
    const stop = new AbortController();
    const drawing = stillsOf(clip, { signal: stop.signal });
    setTimeout(() => stop.abort(), 50);
    expect((await drawing).of('peak-luminance')).toEqual([]);
  });

  it('when nothing is wrong', async () => {
    const require = requirementSet.parse({ 'peak-luminance': { max: 4000 } });
    const verdict = judge(clip.measurement, { name: 'test', require }, {});
    expect(verdict.verdict).toBe('pass');
    const { of, heard } = await stillsOf({ ...clip, verdict });
    expect(of('peak-luminance')).toEqual([]);
    expect(heard).toEqual([]);
  });
});
