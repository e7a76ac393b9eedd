import { describe, expect, it } from 'vitest';
import { activeShare } from '../../../../../workers/measure/picture/temporal/temporal-figures.js';
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
  shot,
  spans,
} from './watch-clip.js';

/** A raster in which 8 lines of 1080 are 2: bars are 2 lines and more, blank lines 1. */
const RASTER = { width: 160, height: 90 };
/** 810 lines: bars are 6 and more. Few columns, to be quick. */
const TALL = { width: 24, height: 810 };
const shots = (count: number, seed = 1): Frame[] => frames(count, (n) => shot(seed, n));
const letterbox = (frame: Frame, lines = 12): Frame => matted(frame, { top: lines, bottom: lines }, RASTER);
const pillarbox = (frame: Frame, lines = 20): Frame => matted(frame, { left: lines, right: lines }, RASTER);
const figuresOf = (...parts: readonly (readonly Frame[])[]) => new Clip(parts.flat(), RASTER).figures();
const FULL = { left: 0, top: 0, width: 160, height: 90 };
const BOXED = { left: 0, top: 12, width: 160, height: 66 };
const dim = (frame: Frame, by: number): Frame => graded(frame, (level) => level * by);

describe('active picture', () => {
  it.each([
    ['none', (f: Frame) => f, FULL],
    ['letterbox', (f: Frame) => letterbox(f), BOXED],
    ['pillarbox', (f: Frame) => pillarbox(f), { left: 20, top: 0, width: 120, height: 90 }],
    ['both', (f: Frame) => letterbox(pillarbox(f)), { left: 20, top: 12, width: 120, height: 66 }],
    [
      'unequal bars',
      (f: Frame) => matted(f, { top: 6, bottom: 18 }, RASTER),
      { left: 0, top: 6, width: 160, height: 66 },
    ],
  ] as [string, (f: Frame) => Frame, object][])('bars: %s', (_, box, area) => {
    const { activePicture, blankEdge } = figuresOf(shots(20).map(box));
    expect(activePicture).toMatchObject({ area, framesTold: 20, others: { places: 0, ranges: [] } });
    expect(blankEdge.ranges).toEqual([]);
  });
  it('bars with the noise of coding in them, up to 3 % of the range', () => {
    const coded = (frame: Frame, n: number): Frame =>
      graded(frame, (level, x, y) => level + hash(x, y, n) * 0.028);
    expect(
      figuresOf(
        shots(15)
          .map((f) => letterbox(f))
          .map(coded),
      ).activePicture.area,
    ).toEqual(BOXED);
  });
  it('does not shrink with a dark night scene, letterboxed or not', () => {
    // A lamp wanders near the bottom; all else is as dark as the bars.
    const night =
      (n: number): Frame =>
      (x, y) =>
        y > 60 && y < 70 && Math.abs(x - 20 - n) < 5 ? 0.6 : 0.01;
    const scene = frames(25, night);
    expect(
      figuresOf(
        shots(20).map((f) => letterbox(f)),
        scene,
      ).activePicture,
    ).toMatchObject({
      area: BOXED,
      others: { places: 0 },
    });
    expect(figuresOf(shots(20), scene).activePicture).toMatchObject({ area: FULL, others: { places: 0 } });
    expect(figuresOf(scene).activePicture).toMatchObject({ area: null, framesTold: 0 });
  });
  it('is not told by black frames, fades or credits on black', () => {
    const card: Frame = (x, y) => (y > 30 && y < 60 && x > 40 && x < 120 && (x + y) % 4 === 0 ? 0.9 : 0);
    const found = figuresOf(
      frames(3, () => BLACK),
      frames(10, (n) => mixed(BLACK, letterbox(shot(1)), n / 10)),
      shots(20).map((f) => letterbox(f)),
      frames(30, () => card),
    );
    expect(found.activePicture).toMatchObject({ area: BOXED, others: { places: 0 } });
    expect(figuresOf(frames(30, () => card)).activePicture.area).toBeNull();
  });
  it('one-sided black is a black sky in one shot, a bar if it stays for three', () => {
    const sky = (f: Frame): Frame => matted(f, { top: 20 }, RASTER);
    expect(figuresOf(shots(20).map(sky)).activePicture.area).toEqual(FULL);
    const three = [shots(12, 1), shots(12, 2), shots(12, 3)].map((part) => part.map(sky));
    expect(figuresOf(...three).activePicture.area).toEqual({ left: 0, top: 20, width: 160, height: 70 });
  });
  it.each([[[]], [[BLACK]], [[flat(0.01)]]])('nothing to see: %#', (clip) => {
    const found = figuresOf(clip);
    expect(found.activePicture).toMatchObject({ area: null, framesTold: 0, others: { ranges: [] } });
    expect([...activeShare(found.activePicture, clip.length, RASTER)]).toEqual(clip.map(() => 1));
  });
  it('a raster of one pixel', () => {
    const found = new Clip([flat(0.5)], { width: 1, height: 1 }).figures();
    expect(found.activePicture.area).toEqual({ left: 0, top: 0, width: 1, height: 1 });
  });
});

describe('where the bars are others', () => {
  it('a pillarboxed shot in a programme without bars', () => {
    const { activePicture } = figuresOf(
      shots(30, 1),
      shots(15, 2).map((f) => pillarbox(f)),
      shots(20, 3),
    );
    expect(activePicture.area).toEqual(FULL);
    expect(activePicture.others).toMatchObject({
      places: 1,
      frames: 15,
      ranges: [{ from: 30, to: 45, area: { left: 20, top: 0, width: 120, height: 90 } }],
    });
    const share = activeShare(activePicture, 65, RASTER);
    expect([share[29], share[30], share[44], share[45]]).toEqual([1, 0.75, 0.75, 1]);
  });
  it('a shot without bars in a letterboxed programme, however short and dark', () => {
    const found = figuresOf(
      shots(30, 1).map((f) => letterbox(f)),
      [dim(shot(2), 0.2)],
      shots(20, 3).map((f) => letterbox(f)),
    );
    expect(found.activePicture.area).toEqual(BOXED);
    expect(found.activePicture.others.ranges).toMatchObject([{ from: 30, to: 31, area: FULL }]);
  });
  it('a subtitle in the lower bar', () => {
    const titled =
      (f: Frame): Frame =>
      (x, y) =>
        y >= 80 && y < 86 && x > 50 && x < 100 && x % 3 === 0 ? 0.9 : letterbox(f)(x, y);
    const found = figuresOf(
      shots(30).map((f) => letterbox(f)),
      shots(8, 2).map(titled),
      shots(9, 3).map((f) => letterbox(f)),
    );
    // The lower bar ends below the subtitle, after line 85: 4 lines are left of it.
    expect(found.activePicture.others.ranges).toMatchObject([
      { from: 30, to: 38, area: { left: 0, top: 12, width: 160, height: 74 } },
    ]);
  });
  it('wider bars of fewer than 12 frames are not told from dark edges', () => {
    const found = figuresOf(
      shots(30, 1),
      shots(11, 2).map((f) => letterbox(f)),
      shots(20, 3),
    );
    expect(found.activePicture.others.ranges).toEqual([]);
  });
  it('a dark frame in between does not part a stretch', () => {
    const part = shots(20, 2).map((f) => pillarbox(f));
    part[10] = BLACK;
    const found = figuresOf(shots(30, 1), part);
    expect(spans(found.activePicture.others.ranges)).toEqual([[30, 50]]);
  });
});

describe('bars that coarse coding has spoilt', () => {
  // Beside the edge lie lines of 5 %, neither black (3 %) nor surely picture (10.5 %), in some frames.
  const ringing = (f: Frame, lines: number): Frame => {
    const boxed = letterbox(f);
    return (x, y) => (y >= 12 - lines && y < 12 ? 0.05 : boxed(x, y));
  };
  it('a letterboxed part is told from its first frame to its last', () => {
    const part = shots(30, 2).map((f, n) => (n < 9 ? ringing(f, 8) : n > 24 ? ringing(f, 5) : letterbox(f)));
    const found = figuresOf(shots(30, 1), part, shots(20, 3));
    expect(found.activePicture.area).toEqual(FULL);
    expect(found.activePicture.others.ranges).toMatchObject([{ from: 30, to: 60, area: BOXED }]);
  });
  it('a letterboxed programme has no other bars in such frames', () => {
    const found = figuresOf(shots(40).map((f, n) => (n % 10 < 3 ? ringing(f, 9) : letterbox(f))));
    expect(found.activePicture.area).toEqual(BOXED);
    expect(found.activePicture.others.ranges).toEqual([]);
  });
});

describe('a black strip at one edge', () => {
  /** 160x90: 2 to 8 columns, 2 to 4 rows. */
  const stripped = (side: string, lines: number) => (f: Frame) => matted(f, { [side]: lines }, RASTER);
  it.each([
    ['left', 2],
    ['right', 8],
    ['top', 4],
    ['bottom', 2],
  ])('%s, %i lines, in a part of a shot', (side, lines) => {
    const clip = shots(50, 1).map((f, n) => (n >= 20 && n < 35 ? stripped(side, lines)(f) : f));
    const found = figuresOf(clip);
    expect(found.blankEdge.ranges).toMatchObject([{ from: 20, to: 35, side, lines }]);
    expect(found.activePicture.area).toEqual(FULL);
  });
  it('in one shot of three, however short', () => {
    const found = figuresOf(shots(15, 1), shots(5, 2).map(stripped('left', 5)), shots(15, 3));
    expect(found.blankEdge.ranges).toMatchObject([{ from: 15, to: 20, side: 'left', lines: 5 }]);
  });
  it('is none where only a lamp shines beside it', () => {
    const night: Frame = (x, y) =>
      x < 5 ? 0 : x < 30 ? (x < 12 && y > 30 && y < 50 ? 0.8 : 0.02) : Number(shot(1)(x, y));
    expect(figuresOf(shots(20).map(() => night)).blankEdge.ranges).toEqual([]);
  });
  it('is none where there is one at the other edge too: those are bars', () => {
    const boxed = shots(20, 2).map((f) => matted(f, { left: 6, right: 4 }, RASTER));
    expect(figuresOf(shots(30, 1), boxed).blankEdge.ranges).toEqual([]);
  });
  it('is none where it moves, or is wider than a strip', () => {
    const wiped = shots(30).map((f, n) => matted(f, { left: 2 + (n % 6) }, RASTER));
    const wide = shots(30).map((f) => matted(f, { left: 20 }, RASTER));
    expect(figuresOf(wiped, wide).blankEdge.ranges).toEqual([]);
  });
});

describe('blank lines at the edges', () => {
  const blank = (clip: readonly Frame[]) => new Clip(clip, TALL).figures();
  const lined = (f: Frame, lines: object): Frame => matted(f, lines, TALL);
  it.each([1, 5])('%i black lines at each edge, by side, are no bar', (lines) => {
    for (const side of ['top', 'bottom', 'left', 'right'] as const) {
      const found = blank(frames(12, (n) => lined(shot(1, n), { [side]: lines })));
      expect(found.blankEdge.ranges).toMatchObject([{ from: 0, to: 12, side, lines }]);
      expect(found.activePicture.area).toEqual({ left: 0, top: 0, width: 24, height: 810 });
    }
  });
  it('6 lines of 810, above and below, are bars', () => {
    const found = blank(frames(12, (n) => lined(shot(1, n), { top: 6, bottom: 6 })));
    expect(found.blankEdge.ranges).toEqual([]);
    expect(found.activePicture).toMatchObject({ leastBar: 6, area: { top: 6, height: 798 } });
  });
  it('in one shot of several, from cut to cut, however short', () => {
    const found = figuresOf(
      shots(15, 1),
      shots(4, 2).map((f) => matted(f, { left: 1 }, RASTER)),
      shots(15, 3),
    );
    expect(found.blankEdge.ranges).toMatchObject([{ from: 15, to: 19, side: 'left', lines: 1 }]);
    expect(found.blankEdge).toMatchObject({ places: 1, frames: 4 });
  });
  it('beside the bars of a letterbox, on the other sides', () => {
    const found = figuresOf(shots(15).map((f) => letterbox(matted(f, { right: 1 }, RASTER))));
    expect(found.blankEdge.ranges).toMatchObject([{ side: 'right', lines: 1 }]);
    expect(found.activePicture.area).toEqual(BOXED);
  });
  it('not where the edge is dark for a few frames of a shot, or soft', () => {
    const dark = shots(30).map((f, n) => (n > 9 && n < 18 ? matted(f, { top: 1 }, RASTER) : f));
    expect(figuresOf(dark).blankEdge.ranges).toEqual([]);
    // Levels that rise by 2 % a line: the first is as black as a bar, the next three are not bright enough to
    // tell.
    const soft = shots(20).map(
      (f): Frame =>
        (x, y) =>
          Math.min(y * 0.033, Number(f(x, y))),
    );
    expect(figuresOf(soft).blankEdge.ranges).toEqual([]);
  });
  it('one frame by itself, a file of one frame', () => {
    expect(figuresOf([matted(shot(1), { bottom: 1 }, RASTER)]).blankEdge.ranges).toMatchObject([
      { from: 0, to: 1, side: 'bottom', lines: 1 },
    ]);
  });
});
