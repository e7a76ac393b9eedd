import { describe, expect, it } from 'vitest';
import { ofCells, RGB, screened } from './flash-films.js';
import { bars, blobs, chance, filmOf, handHeld, type Scene, SHAPE, tiles } from './flash-scenes.js';

/**
 * Moving pictures of daylight contrast, drawn with fixed seeds. Whether they flash follows from how they are
 * drawn: BT.1702-3 counts pairs of opposing changes that more than a quarter of the screen makes
 * concurrently, more than three in a second.
 */
const pan =
  (picture: (x: number, y: number) => number, place: (frame: number) => number): Scene =>
  (x, y, frame) =>
    picture(x + place(frame), y);
const heldFor =
  (frames: number, scene: Scene): Scene =>
  (x, y, frame) =>
    scene(x, y, Math.floor(frame / frames));
/** Four frames in five, one of them twice. */
const pulledDown =
  (scene: Scene): Scene =>
  (x, y, frame) =>
    scene(x, y, Math.floor((4 * frame) / 5));
const crowd = (x: number, y: number): number => 1.6 * blobs(14, 3)(x, y) - 0.3;
const roof = (speed: number): Scene => pan(tiles(24, 16, 1), handHeld(speed, 12, 2));

const leaves: Scene = (x, y, frame) => {
  const wind = Math.sin(frame / 3 + x / 30);
  const sway = 9 * wind * (blobs(40, 7)(x + 3 * frame, y) - 0.3);
  return 0.05 + 0.95 * blobs(9, 8)(x + sway, y + sway / 2) ** 2;
};
const water: Scene = (x, y, frame) => {
  const waves =
    Math.sin(0.31 * x + 0.9 * frame) +
    Math.sin(0.17 * x - 0.23 * y - 0.7 * frame) +
    Math.sin(0.4 * y + 1.3 * frame + 0.2 * x);
  return waves > 1.6 ? 0.95 : 0.25 + 0.05 * waves;
};
/** Glints of a cell's size that last one frame. */
const sparkle =
  (share: number): Scene =>
  (x, y, frame) =>
    chance(x >> 3, (y >> 3) + 1000 * frame, 5) < share ? 0.95 : 0.3;
const grain =
  (size: number, strength: number): Scene =>
  (x, y, frame) =>
    0.5 + strength * (chance(Math.floor(x / size), Math.floor(y / size) + 999 * frame, 3) - 0.5);

function generalOf(scene: Scene, rate = '25/1', frames = rate === '50/1' ? 90 : 50) {
  return screened(filmOf(scene, frames, rate)).flashes;
}

describe('what moves does not flash', () => {
  it.each<[string, Scene, string]>([
    ['a slow hand-held pan over roof tiles', roof(2), '30/1'],
    ['a hand-held pan over large tiles', pan(tiles(48, 32, 1), handHeld(4, 12, 2)), '30/1'],
    ['a pan over a crowd', pan(crowd, handHeld(5, 12, 2)), '25/1'],
    ['a pan along a fence of eight cells a bar', pan(bars(64), handHeld(6, 0, 2)), '25/1'],
    ['a slow pan along a fence of three cells a bar', pan(bars(24), handHeld(2, 0, 2)), '25/1'],
    ['leaves in the wind', leaves, '25/1'],
    ['sun on water', water, '25/1'],
    ['sparkle over a tenth of the screen', sparkle(0.1), '25/1'],
    ['film grain', grain(1, 0.3), '25/1'],
    ['a pan drawn on twos', heldFor(2, pan(crowd, handHeld(5, 12, 2))), '25/1'],
    ['the same at 24 frames in 30', pulledDown(pan(crowd, handHeld(5, 12, 2))), '30/1'],
  ])('%s: nothing is said', (_, scene, rate) => {
    const { general, fineDetail } = generalOf(scene, rate);
    expect([general.ranges, general.nearLimit, general.outOfStep, fineDetail]).toEqual([[], [], [], []]);
  });

  // Each place changes more than six times a second in these, and no two of them together: not told as
  // flashes, nor passed.
  it.each<[string, Scene, string]>([
    ['a hand-held pan over roof tiles', roof(5), '30/1'],
    ['a fast one', roof(8), '30/1'],
    ['one by half a tile a frame', roof(12), '30/1'],
    ['a whip pan over a crowd', pan(crowd, handHeld(14, 0, 2)), '25/1'],
    ['the same as film in video', heldFor(2, pan(crowd, handHeld(14, 0, 2))), '50/1'],
    ['a pan along a fence of three cells a bar', pan(bars(24), handHeld(4, 0, 2)), '25/1'],
    ['glints all over', sparkle(0.4), '25/1'],
    ['the snow of a dead channel', grain(8, 1), '25/1'],
    ['the same in large grains', grain(32, 1), '25/1'],
  ])('%s: out of step', (_, scene, rate) => {
    const { general } = generalOf(scene, rate);
    expect([general.ranges, general.nearLimit]).toEqual([[], []]);
    expect(general.outOfStep.length).toBeGreaterThan(0);
  });
});

describe('flashes within moving pictures', () => {
  const grounds: readonly (readonly [string, Scene])[] = [
    ['a pan over tiles', roof(5)],
    ['a pan over a dim crowd', pan((x, y) => 0.6 * blobs(14, 3)(x, y), handHeld(8, 12, 2))],
    ['leaves', leaves],
    ['water', water],
    ['sparkle', sparkle(0.1)],
  ];
  /** Light of 0.35 for two frames in five, on part of the screen. */
  const strobe =
    (ground: Scene, width: number): Scene =>
    (x, y, frame) =>
      ground(x, y, frame) + (frame > 15 && frame % 5 < 2 && x < width ? 0.35 : 0);
  it.each(grounds)('a stroboscope all over %s', (_, ground) => {
    const { general } = generalOf(strobe(ground, 256));
    expect(general.ranges.length).toBe(1);
    expect(general.worstSecond?.flashes).toBeGreaterThanOrEqual(5);
  });
  it.each(grounds)('a stroboscope over a little more than the limit of %s is never passed', (_, ground) => {
    const { general } = generalOf(strobe(ground, 90));
    expect([...general.ranges, ...general.nearLimit, ...general.outOfStep].length).toBeGreaterThan(0);
  });
  it.each<[string, Scene]>([
    ['tiles', pan(tiles(24, 16, 1), (n) => 0.5 * n)],
    [
      'a dim crowd',
      pan(
        (x, y) => 0.6 * blobs(14, 3)(x, y),
        (n) => 2 * n,
      ),
    ],
    ['a fence', pan(bars(64), (n) => n)],
    [
      'soft light',
      pan(
        (x, y) => 0.4 * blobs(50, 2)(x, y),
        (n) => 2 * n,
      ),
    ],
  ])('a stroboscope over 40 %% of a slow pan over %s', (_, ground) => {
    const { general } = generalOf(strobe(ground, 102));
    expect(general.ranges.length).toBe(1);
    expect(general.worstSecond?.flashes).toBeGreaterThanOrEqual(5);
  });
  it('lamps of photographers, here and there', () => {
    const lit = (x: number, y: number, frame: number): boolean =>
      frame > 10 && frame % 5 === 0 && ((x >> 6) % 2 === (frame / 5) % 2 || Math.abs(y - 70) < 20);
    const { general } = generalOf((x, y, n) => 0.5 * leaves(x, y, n) + (lit(x, y, n) ? 0.5 : 0));
    expect(general.ranges.length).toBe(1);
  });
});

describe('flashes that leave the light of the screen as it is', () => {
  const checks =
    (size: number, every: number): Scene =>
    (x, y, frame) =>
      (Math.floor(x / size) + Math.floor(y / size) + Math.floor(frame / every)) % 2 === 0 ? 0.9 : 0.1;
  // Changes in 25 frames: one in every `every`.
  it.each([
    [8, 1, 12.5],
    [8, 3, 4.5],
    [32, 2, 6.5],
    [64, 3, 4.5],
  ])('checks of %i pixels that change places every %i frames', (size, every, flashes) => {
    const { general } = generalOf(checks(size, every));
    expect(general.ranges.length).toBe(1);
    expect(general.worstSecond?.flashes).toBe(flashes);
  });
  it.each([3, 4])(
    'three flashes are allowed: checks that change places every %i frames, six times',
    (every) => {
      const { general } = generalOf((x, y, n) =>
        checks(32, every)(x, y, Math.min(Math.max(n - 20, 0), 6 * every)),
      );
      expect([general.ranges, general.nearLimit, general.outOfStep]).toEqual([[], [], []]);
      expect(general.worstSecond?.flashes).toBe(3);
    },
  );
  it('two pictures that are cut to and fro', () => {
    const shots: Scene = (x, y, n) => 1.4 * blobs(50, Math.floor(n / 3) % 2)(x, y) - 0.2;
    expect(generalOf(shots).general.ranges.length).toBe(1);
  });
  it.each([
    [4, 3],
    [4, 1],
    [2, 2],
  ])(
    'checks of %i pixels, finer than a cell, that change places every %i frames, are owned up to',
    (size, every) => {
      const { general, fineDetail } = generalOf(checks(size, every));
      expect(general.worstSecond).toBeNull();
      expect(fineDetail.length).toBe(1);
    },
  );
  it('fine checks that change places three times a second are not', () =>
    expect(generalOf(checks(4, 8)).fineDetail).toEqual([]));
  it('fine checks that are panned over are not', () =>
    expect(generalOf(pan(tiles(8, 5, 4), handHeld(3, 3, 2))).fineDetail).toEqual([]));
});

describe('an edge that runs through cells', () => {
  /**
   * Four flashes of a block from (0, `top`), on black; 256x144 has 36,864 pixels, of which 9,216 are a
   * quarter.
   */
  const block = (width: number, top: number, height: number, signal = 1) =>
    generalOf((x, y, n) => {
      const isOn = n >= 20 && n < 44 && n % 6 < 3;
      return isOn && x < width && y >= top && y < top + height ? signal : 0;
    }).general;

  it('a quarter exactly is not told as more, nor passed where cells cannot tell', () => {
    const general = block(128, 12, 72);
    expect(general.ranges).toEqual([]);
    expect(general.nearLimit.length).toBe(1);
    expect(general.worstSecond?.area).toBeCloseTo(0.25, 9);
    // Rows 12 to 83 touch ten rows of cells, the first and the last of them by half.
    expect(general.worstSecond?.areaAtMost).toBeCloseTo(80 / 144 / 2, 9);
  });
  it('a quarter exactly that ends where cells do is allowed', () => {
    const general = block(128, 0, 72);
    expect([general.ranges, general.nearLimit]).toEqual([[], []]);
    expect(general.worstSecond).toBeNull();
  });
  it.each([
    ['27.8 %', 128, 12, 80],
    ['25.3 %', 128, 12, 73],
  ])('%s is more', (_, width, top, height) => expect(block(width, top, height).ranges.length).toBe(1));
  it('22 % is less', () => {
    const general = block(128, 4, 63);
    expect([general.ranges, general.nearLimit, general.outOfStep]).toEqual([[], [], []]);
  });
  it('26 % of a flash so weak that no cell at its edge reaches 20 cd/m² is not passed', () => {
    // 200 x 0.42^2.4 = 24.9 cd/m2; half of it in a cell: 4.7.
    const general = block(136, 4, 72, 0.42);
    expect(general.ranges).toEqual([]);
    expect(general.nearLimit.length).toBe(1);
  });
});

/** BT.1702-3: rapid cuts are flashes where they make areas flash. */
describe('cuts between shots that have nothing in common', () => {
  const shots =
    (seed: number, every: number, speed = 0): Scene =>
    (x, y, frame) =>
      blobs(40, 100 * seed + Math.floor(frame / every))(x + speed * frame, y);
  /** Half of each shot on the first frame of the next. */
  const blended =
    (seed: number, every: number): Scene =>
    (x, y, frame) => {
      const isFirst = frame % every === 0 && frame > 0;
      const now = shots(seed, every)(x, y, frame);
      return isFirst ? (now + shots(seed, every)(x, y, frame - 1)) / 2 : now;
    };
  /** Light of BT.1886 with a black of 0 and a white of 200 cd/m2, by pixels, from the frame before. */
  const cutsOver = (scene: Scene, frames: number): number => {
    const { width, height } = SHAPE;
    let cuts = 0;
    for (let frame = 1; frame < frames; frame++) {
      let changed = 0;
      for (let y = 0; y < height; y++) {
        for (let x = 0; x < width; x++) {
          const [a, b] = [200 * scene(x, y, frame) ** 2.4, 200 * scene(x, y, frame - 1) ** 2.4];
          if (Math.abs(a - b) >= 20 && Math.min(a, b) < 160) changed++;
        }
      }
      if (changed > 0.25 * width * height) cuts++;
    }
    return cuts;
  };
  const places = (scene: Scene, rate = '25/1', frames = 35) => {
    const { ranges, nearLimit, outOfStep } = generalOf(scene, rate, frames).general;
    return { sure: ranges.length, near: nearLimit.length, outOfStep: outOfStep.length };
  };

  // Each place makes three flashes at most in those of seeds 4, 5 and 7.
  it.each([1, 4, 5, 7])('one every three frames is never passed (%i)', (seed) => {
    const scene = shots(seed, 3);
    expect(cutsOver(scene, 25)).toBeGreaterThanOrEqual(7);
    const { sure, near, outOfStep } = places(scene);
    expect(sure + near + outOfStep).toBeGreaterThan(0);
  });
  it('nor where shots move, edits are blended, or 50 frames make a second', () => {
    for (const [scene, rate, frames] of [
      [shots(4, 3, 3), '25/1', 35],
      [blended(5, 3), '25/1', 35],
      [shots(5, 6), '50/1', 60],
    ] as const) {
      const { sure, near, outOfStep } = places(scene, rate, frames);
      expect(sure + near + outOfStep).toBeGreaterThan(0);
    }
  });
  it.each([
    ['three a second', shots(4, 8)],
    ['five a second', shots(5, 5)],
    ['two a second between moving shots', shots(5, 12, 3)],
    ['blended ones, four a second', blended(5, 6)],
  ])('%s are allowed', (_, scene) => {
    expect(places(scene, '25/1', 40)).toEqual({ sure: 0, near: 0, outOfStep: 0 });
  });
  it('of saturated red, too dark to count as light, are not passed either', () => {
    // R linear 0.15: 0.15 x 320 = 48 of red, 0.2126 x 0.15 x 200 = 6 cd/m2.
    const red = Math.round(1023 * 0.15 ** (1 / 2.4));
    const frames = Array.from({ length: 35 }, (_, n) =>
      ofCells(RGB, (cell) => [0, 0, chance(cell, Math.floor(n / 3), 9) < 0.5 ? red : 0]),
    );
    const { general, red: told } = screened({ shape: RGB, rate: '25/1', frames }).flashes;
    expect([general.ranges, general.outOfStep]).toEqual([[], []]);
    expect(told.ranges.length + told.nearLimit.length + told.outOfStep.length).toBeGreaterThan(0);
  });
});
