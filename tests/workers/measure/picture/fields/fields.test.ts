import { describe, expect, it } from 'vitest';
import { fieldsOf } from './measure-fields.js';
import {
  BOTTOM_FIRST,
  drawFrames,
  movingBox,
  movingTexture,
  PROGRESSIVE,
  pulldown,
  rollingTitles,
  type Sampling,
  type Scene,
  TOP_FIRST,
} from './moving-picture.js';

// The truth of every picture here is how it was drawn: at which time its even and its odd lines were taken.
const SHAPE = { width: 96, height: 64, depth: 10 };
const FRAMES = 16;

/**
 * 24 pictures in 60 fields, four pictures in five frames; even lines first. Numbers are pictures (from the
 * definition of 2:3).
 */
const TWO_THREE = pulldown(
  [
    [0, 0],
    [1, 1],
    [1, 2],
    [2, 3],
    [3, 3],
  ],
  4,
);
const TWO_THREE_BOTTOM = pulldown(
  [
    [0, 0],
    [1, 1],
    [2, 1],
    [3, 2],
    [3, 3],
  ],
  4,
);
const TWO_THREE_THREE_TWO = pulldown(
  [
    [0, 0],
    [1, 1],
    [1, 2],
    [2, 2],
    [3, 3],
  ],
  4,
);
const SHIFTED: Sampling = (n) => [n, n - 1];

const SCENES: readonly (readonly [string, Scene])[] = [
  ['a slow pan', movingTexture(11, 1.5, 0)],
  ['a pan', movingTexture(1, 3, 1)],
  ['a fast pan', movingTexture(2, 11, -2)],
  ['a tilt', movingTexture(3, 0.3, 4)],
  ['a box before a still ground', movingBox(4, 5, 0.5)],
];
const SAMPLINGS = [
  ['progressive', PROGRESSIVE],
  ['interlaced-tff', TOP_FIRST],
  ['interlaced-bff', BOTTOM_FIRST],
] as const;
const NOISES = [0, 4] as const;

describe('scan', () => {
  const cases = SCENES.flatMap(([what, scene]) =>
    SAMPLINGS.flatMap(([scan, sampling]) => NOISES.map((noise) => ({ what, scene, scan, sampling, noise }))),
  );
  it.each(cases)('$what, $scan, grain of $noise codes', ({ what, scene, scan, sampling, noise }) => {
    const fields = fieldsOf(SHAPE, drawFrames(scene, sampling, FRAMES, SHAPE, noise));
    // Slow motion combs too little to be sure of; so little that coding may have taken it away, if it is not
    // there.
    const sure =
      scan === 'progressive'
        ? what === 'a fast pan' || (what.startsWith('a box') && noise === 0)
        : what !== 'a slow pan';
    const confidence = sure ? 'high' : 'low';
    expect(fields).toMatchObject({ scan, confidence });
    expect(fields.segments.ranges.map((segment) => segment.scan)).toEqual([scan]);
    expect(fields.cadence).toMatchObject({ name: 'none', breaks: { places: 0 } });
    if (scan === 'progressive') expect(fields.combed).toMatchObject({ frames: 0, worstFrame: null });
  });

  it.each([
    ['still', movingTexture(5, 0, 0), 0, FRAMES],
    ['still, under grain', movingTexture(5, 0, 0), 6, FRAMES],
    ['flat', () => 100, 0, FRAMES],
    ['one frame', movingTexture(5, 3, 0), 0, 1],
    ['two frames', movingTexture(5, 3, 0), 0, 2],
  ] as const)('%s: nothing is said', (_, scene, noise, frames) => {
    for (const [, sampling] of SAMPLINGS) {
      // Grain that is new in every frame: taken at a time of its own, though nothing moves.
      const fields = fieldsOf(SHAPE, drawFrames(scene, sampling, frames, SHAPE, noise));
      expect(fields).toMatchObject({ scan: null, confidence: 'low', cadence: { name: null } });
    }
  });

  it.each([
    [2, 2],
    [64, 2],
    [7, 40],
    [65, 37],
    [33, 9],
  ])('%i x %i pixels', (width, height) => {
    const shape = { width, height, depth: 8 };
    const fields = fieldsOf(shape, drawFrames(movingTexture(7, 3, 0), TOP_FIRST, 12, shape));
    expect([null, 'interlaced-tff']).toContain(fields.scan);
    if (width < 8 || height < 8) expect(fields.scan).toBeNull();
  });

  it.each([1, 2, 3, 4])('titles that roll by %i lines a frame are not interlaced', (lines) => {
    const fields = fieldsOf(SHAPE, drawFrames(rollingTitles(8, lines), PROGRESSIVE, 40, SHAPE));
    expect([null, 'progressive']).toContain(fields.scan);
    expect(fields.framesTold).toMatchObject({ topFirst: 0, bottomFirst: 0 });
    expect(fields.combed.frames).toBe(0);
  });

  it('cuts between still pictures show no scan', () => {
    const scenes = Array.from({ length: 6 }, (_, i) => movingTexture(20 + i, 0, 0));
    const scene: Scene = (x, y, t) => scenes[Math.floor(t / 8)]?.(x, y, t) ?? 0;
    const fields = fieldsOf(SHAPE, drawFrames(scene, PROGRESSIVE, 48, SHAPE));
    expect(fields).toMatchObject({ scan: null, cadence: { name: null } });
  });
});

describe('a scan that differs', () => {
  it('a segment with the fields the wrong way round is found where it is', () => {
    const reversed: Sampling = (n) => (n >= 20 && n < 32 ? BOTTOM_FIRST(n) : TOP_FIRST(n));
    const fields = fieldsOf(SHAPE, drawFrames(movingTexture(1, 3, 1), reversed, 50, SHAPE));
    expect(fields.scan).toBe('interlaced-tff');
    expect(fields.segments.ranges.map(({ scan }) => scan)).toEqual([
      'interlaced-tff',
      'interlaced-bff',
      'interlaced-tff',
    ]);
    const [, wrong] = fields.segments.ranges;
    // The frame at either seam shows motion between two orders, so it may fall on either side.
    expect(Math.abs((wrong?.from ?? 0) - 20)).toBeLessThanOrEqual(1);
    expect(Math.abs((wrong?.to ?? 0) - 32)).toBeLessThanOrEqual(1);
    expect(wrong?.fromTimecode).toMatch(/^10:00:00:(19|20|21)$/);
  });

  it('one combed frame in progressive material is a combed frame, not another scan', () => {
    const sampling: Sampling = (n) => (n === 10 ? [n, n + 0.5] : [n, n]);
    const fields = fieldsOf(SHAPE, drawFrames(movingTexture(1, 4, 1), sampling, 30, SHAPE));
    expect(fields.scan).toBe('progressive');
    expect(fields.segments.places).toBe(1);
    expect(fields.combed).toMatchObject({ frames: 1, worstFrame: 10, ranges: [{ from: 10, to: 11 }] });
  });

  it('an interlaced insert in progressive material is a segment', () => {
    const sampling: Sampling = (n) => (n >= 15 && n < 30 ? TOP_FIRST(n) : PROGRESSIVE(n));
    const fields = fieldsOf(SHAPE, drawFrames(movingTexture(1, 3, 1), sampling, 60, SHAPE));
    expect(fields.scan).toBe('progressive');
    expect(fields.segments.ranges.map(({ scan }) => scan)).toEqual([
      'progressive',
      'interlaced-tff',
      'progressive',
    ]);
  });
});

describe('cadence', () => {
  const moving = SCENES.filter(([what]) => ['a slow pan', 'a pan', 'a fast pan'].includes(what));
  const whole = (period: readonly number[], pictures: number): Sampling =>
    pulldown(
      period.map((picture) => [picture, picture] as const),
      pictures,
    );
  const CASES: readonly (readonly [cadence: string, scan: string, sampling: Sampling])[] = [
    ['2:3', 'interlaced-tff', TWO_THREE],
    ['2:3', 'interlaced-bff', TWO_THREE_BOTTOM],
    ['2:3:3:2', 'interlaced-tff', TWO_THREE_THREE_TWO],
    ['2:2-shifted', 'interlaced-bff', SHIFTED],
    ['2:2-shifted', 'interlaced-tff', (n) => [n - 1, n]],
    ['repeat-2:3', 'progressive', whole([0, 0, 1, 1, 1], 2)],
    ['repeat-2:2', 'progressive', whole([0, 0], 1)],
    ['repeat-1-in-5', 'progressive', whole([0, 1, 2, 3, 3], 4)],
    ['repeat-1-in-4', 'progressive', whole([0, 1, 2, 2], 3)],
    ['repeat-1-in-6', 'progressive', whole([0, 1, 2, 3, 4, 4], 5)],
    ['repeat-1-in-10', 'progressive', whole([0, 1, 2, 3, 4, 5, 6, 7, 8, 8], 9)],
  ];
  const cases = CASES.flatMap(([cadence, scan, sampling]) =>
    moving.map(([what, scene]) => ({ what, scene, cadence, scan, sampling })),
  );
  it.each(cases)('$cadence ($scan), $what', ({ scene, cadence, scan, sampling }) => {
    const fields = fieldsOf(
      SHAPE,
      drawFrames(scene, sampling, cadence === 'repeat-1-in-10' ? 50 : 40, SHAPE, 1),
    );
    expect(fields.cadence).toMatchObject({ name: cadence, confidence: 'high', breaks: { places: 0 } });
    expect(fields.scan).toBe(scan);
  });

  it.each([
    ['with fine detail', movingTexture(1, 6, 2, 2.5)],
    ['so fast that pictures have nothing in common', movingTexture(1, 24, 0, 2.5)],
    ['fast and aslant', movingTexture(1, 16, 3)],
  ])('2:2-shifted under grain, %s', (_, scene) => {
    const fields = fieldsOf(SHAPE, drawFrames(scene, SHIFTED, 60, SHAPE, 5));
    expect(fields.cadence).toMatchObject({ name: '2:2-shifted', confidence: 'high' });
    expect(fields.scan).toBe('interlaced-bff');
  });

  // Half of the repeats one in seven has; there is no name for it.
  it('one frame in fourteen repeated is not told as one in seven, nor surely as none', () => {
    const sampling: Sampling = (n) => [n - Math.floor(n / 14), n - Math.floor(n / 14)];
    const { cadence } = fieldsOf(SHAPE, drawFrames(movingTexture(1, 3, 1), sampling, 84, SHAPE, 1));
    expect(cadence).toMatchObject({ name: 'none', confidence: 'low' });
  });

  it('a cut in the middle of a period is a break', () => {
    const scene = movingTexture(1, 3, 1);
    // Two frames were cut out at frame 22: the pattern starts again two places on.
    const edited: Sampling = (n) => TWO_THREE(n < 22 ? n : n + 2);
    const { cadence } = fieldsOf(SHAPE, drawFrames(scene, edited, 50, SHAPE));
    expect(cadence.name).toBe('2:3');
    expect(cadence.segments.places).toBe(1);
    expect(cadence.breaks.places).toBe(1);
    expect(Math.abs((cadence.breaks.ranges[0]?.from ?? 0) - 22)).toBeLessThanOrEqual(2);
  });

  it('pulldown in a part of the programme is a segment', () => {
    const sampling: Sampling = (n) => (n < 30 ? [n, n] : TWO_THREE(n));
    const { cadence } = fieldsOf(SHAPE, drawFrames(movingTexture(1, 3, 1), sampling, 55, SHAPE));
    expect(cadence.segments.ranges.map(({ name }) => name)).toEqual(['none', '2:3']);
  });

  it('titles shown for two frames each are neither interlaced nor moving on', () => {
    const fields = fieldsOf(SHAPE, drawFrames(rollingTitles(8, 1), whole([0, 0], 1), 48, SHAPE));
    expect(fields.cadence.name).toBe('repeat-2:2');
    expect([null, 'progressive']).toContain(fields.scan);
  });

  it('interlaced titles that roll by whole lines a field are not pulldown', () => {
    for (const [scan, sampling] of SAMPLINGS) {
      const fields = fieldsOf(SHAPE, drawFrames(rollingTitles(9, 4), sampling, 40, SHAPE));
      // Bars six lines apart that move by two a field are much the same every third time: not told is no
      // fault, wrongly sure is.
      if (fields.confidence === 'high') expect(fields.scan).toBe(scan);
      expect([null, 'none']).toContain(fields.cadence.name);
    }
  });

  it('one repeated frame is no cadence', () => {
    const sampling: Sampling = (n) => (n === 12 ? [11, 11] : [n, n]);
    const { cadence } = fieldsOf(SHAPE, drawFrames(movingTexture(1, 3, 1), sampling, 40, SHAPE));
    expect(cadence).toMatchObject({ name: 'none', breaks: { places: 0 } });
  });
});
