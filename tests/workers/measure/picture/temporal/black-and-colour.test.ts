import { describe, expect, it } from 'vitest';
import { lumaCoefficients } from '../../../../../signal/ycbcr.js';
import {
  BLACK,
  Clip,
  type Frame,
  flat,
  frames,
  graded,
  hash,
  matted,
  mixed,
  RASTER,
  type Raster,
  shot,
  spans,
} from './watch-clip.js';

const blackIn = (clip: readonly Frame[], raster?: Raster) =>
  spans(new Clip(clip, raster).figures().black.ranges);
/** The first pixels of a frame, up to a share of 96 x 54, at one level and the rest at another. */
const split = (share: number, first: number, rest: number): Frame => {
  const limit = Math.round(share * RASTER.width * RASTER.height);
  return (x, y) => (y * RASTER.width + x < limit ? first : rest);
};

describe('black frames (EBU QC item 0016B, its example: 10.5 %, 90 % of the picture)', () => {
  it.each([
    // 10 bits, narrow: 64 + 10.5 % of 876 is 155.98, so code 155 is dark and 156 is not.
    [{ depth: 10, range: 'narrow' }, 155, 156],
    // 8 bits: 16 + 10.5 % of 219 is 38.995. Full range, 10 bits: 10.5 % of 1023 is 107.4.
    [{ depth: 8, range: 'narrow' }, 38, 39],
    [{ depth: 10, range: 'full' }, 107, 108],
    [{ depth: 12, range: 'narrow' }, 623, 624],
  ] as const)('%o: code %i is dark, %i is not', (format, dark, not) => {
    const raster = { width: 16, height: 16, ...format };
    const black = format.range === 'full' ? 0 : 16 * 2 ** (format.depth - 8);
    const span = format.range === 'full' ? 2 ** format.depth - 1 : 219 * 2 ** (format.depth - 8);
    const level = (code: number): Frame => flat((code - black) / span);
    expect(blackIn([level(dark), level(not)], raster)).toEqual([[0, 1]]);
    expect(blackIn([level(dark), level(not)], { ...raster, model: 'rgb' })).toEqual([[0, 1]]);
    expect(blackIn([level(dark), level(not)], { ...raster, model: 'grey' })).toEqual([[0, 1]]);
  });
  it('90 % of the area is enough, less is not; what is left may not shine', () => {
    expect(blackIn([split(0.9, 0, 0.2), split(0.89, 0, 0.2)])).toEqual([[0, 1]]);
    expect(blackIn([split(0.95, 0, 0.26)])).toEqual([]);
  });
  it('all black, one pixel, one frame', () => {
    expect(blackIn([BLACK], { width: 1, height: 1 })).toEqual([[0, 1]]);
    expect(blackIn([BLACK])).toEqual([[0, 1]]);
    expect(blackIn(frames(30, () => BLACK))).toEqual([[0, 30]]);
  });
  it('between two shots, at head and tail', () => {
    const clip = [
      BLACK,
      BLACK,
      ...frames(8, (n) => shot(1, n)),
      BLACK,
      ...frames(8, (n) => shot(2, n)),
      BLACK,
    ];
    const found = new Clip(clip).figures().black;
    expect(spans(found.ranges)).toEqual([
      [0, 2],
      [10, 11],
      [19, 20],
    ]);
    expect(found).toMatchObject({ places: 3, frames: 4 });
    expect(found.ranges[1]).toMatchObject({ fromTimecode: '01:00:00:10', toTimecode: '01:00:00:11' });
  });
  it('credits on black and street lamps at night are no black frames', () => {
    const credits: Frame = (x, y) => (y % 12 > 8 && x > 40 && x < 56 && x % 3 > 0 ? 0.9 : 0);
    const lamps: Frame = (x, y) => (y === 20 && x % 30 === 5 ? 0.7 : 0.03);
    expect(blackIn([credits, lamps])).toEqual([]);
  });
  it('a saturated blue is dark in luma and yet no black', () => {
    // 100 % blue of BT.709: Y' is Kb, 7.22 %; Cb is 0.5.
    const { kb, kr } = lumaCoefficients('bt709');
    expect(kb).toBeLessThan(0.105);
    const blue: Frame = flat([kb, 0.5, (0 - kb) / (2 * (1 - kr))]);
    const found = new Clip([blue]).figures();
    expect(found.black.ranges).toEqual([]);
    expect(spans(found.constantColour.ranges)).toEqual([[0, 1]]);
    // In R'G'B' (G, B, R): green and red are black, blue is not.
    expect(blackIn([flat([0, 1, 0])], { ...RASTER, model: 'rgb' })).toEqual([]);
  });
  it('a fade from black is black as long as it is dark', () => {
    // Levels of `shot` are 0.2 to 0.8: at 1/8 of them all is at or below 10 %, at 2/8 only the darkest 42 % /
    // 0.8.
    const clip = frames(9, (n) => mixed(BLACK, shot(1), n / 8));
    expect(blackIn(clip)).toEqual([[0, 2]]);
  });
  it('of many places the longest 500 are listed, and all counted', () => {
    const tiny = { width: 8, height: 8 };
    const clip = frames(1400, (n) => (n % 2 === 0 || n === 701 ? BLACK : flat(0.5)));
    const found = new Clip(clip, tiny).figures().black;
    expect(found).toMatchObject({ places: 699, frames: 701 });
    expect(found.ranges).toHaveLength(500);
    expect(found.ranges).toContainEqual(expect.objectContaining({ from: 700, to: 703 }));
  });
});

describe('frames of one colour (EBU QC item 0016B, its example: 90 % of the picture, tolerance 10.5 %)', () => {
  const red: Frame = flat([0.25, -0.1, 0.35]);
  const colours = (clip: readonly Frame[]) => new Clip(clip).figures().constantColour;
  it('one frame of a colour between others, and what colour', () => {
    const found = colours([shot(1), red, shot(2)]);
    expect(spans(found.ranges)).toEqual([[1, 2]]);
    expect(found.ranges[0]?.spread).toBe(0);
    const colour = found.ranges[0]?.colour ?? [];
    // Rounded to codes of 10 bits: half of 1/876 and of 1/896 at most.
    expect(colour[0]).toBeCloseTo(0.25, 2.9);
    expect(colour[1]).toBeCloseTo(-0.1, 2.9);
    expect(colour[2]).toBeCloseTo(0.35, 2.9);
  });
  it('one colour after another is two places', () => {
    expect(spans(colours([red, red, flat(0.8), flat(0.8), flat(0.8)]).ranges)).toEqual([
      [0, 2],
      [2, 5],
    ]);
  });
  it('a slate with words on it', () => {
    const slate: Frame = (x, y) => (y > 20 && y < 30 && x > 20 && x < 60 && x % 4 > 1 ? 0.9 : 0.4);
    expect(spans(colours([slate]).ranges)).toEqual([[0, 1]]);
  });
  it('black and white, a picture and words on black are none', () => {
    expect(colours([BLACK, shot(1), matted(flat(0.9), { top: 25, bottom: 25 })]).ranges).toEqual([]);
  });
  it('spread is the span of the middle 90 %, as a fraction of the range', () => {
    // A ramp over the rows from 40 % to 40 % + s: 90 % of it spans 0.9 s, to two codes of 876 and one row of
    // 54.
    const ramp =
      (s: number): Frame =>
      (_, y) =>
        0.4 + (s * y) / (RASTER.height - 1);
    const found = colours([ramp(0.05), shot(1), ramp(0.11), shot(2), ramp(0.13)]);
    expect(spans(found.ranges)).toEqual([
      [0, 1],
      [2, 3],
    ]);
    expect(Math.abs((found.ranges[0]?.spread ?? 0) - 0.045)).toBeLessThan(2 / 876 + 0.05 / 53);
    expect(Math.abs((found.ranges[1]?.spread ?? 0) - 0.099)).toBeLessThan(2 / 876 + 0.11 / 53);
  });
  it('noise of 2 % spreads by as much', () => {
    const clip = [graded(flat(0.5), (level, x, y) => level + (hash(x, y, 1) - 0.5) * 0.02)];
    const spread = colours(clip).ranges[0]?.spread ?? 1;
    expect(spread).toBeGreaterThan(0.015);
    expect(spread).toBeLessThanOrEqual(0.021);
  });
});
