import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { rational } from '../../../../../signal/rational.js';
import { findFreezes } from '../../../../../workers/measure/picture/temporal/find-freezes.js';
import {
  TEMPORAL_COLUMNS,
  type TemporalColumn,
} from '../../../../../workers/measure/picture/temporal/temporal-columns.js';
import {
  freezeFrames,
  temporalEvents,
} from '../../../../../workers/measure/picture/temporal/temporal-events.js';
import {
  BLACK,
  Clip,
  type Frame,
  flat,
  frames,
  graded,
  hash,
  mixed,
  RASTER,
  shot,
  spans,
} from './watch-clip.js';

const moving = (count: number, seed = 1): Frame[] => frames(count, (n) => shot(seed, n * 0.7));
const freezesOf = (...parts: readonly (readonly Frame[])[]) => new Clip(parts.flat()).figures().freeze;
/** Freezes worth an event at 25 frames/s. */
const told = (...parts: readonly (readonly Frame[])[]) => {
  const figures = new Clip(parts.flat()).figures();
  return spans(temporalEvents(figures, RASTER, rational(25)).filter(({ kind }) => kind === 'freeze'));
};
/** +a or -a at random in every pixel of every frame: two frames differ by a on average. */
const noisy = (frame: Frame, n: number, a: number): Frame =>
  graded(frame, (level, x, y) => level + (hash(x, y, n + 77) < 0.5 ? -a : a));

describe('freezes (2 s below -60 dB: common practice, no source)', () => {
  it.each([
    [49, []],
    [50, [[10, 60]]],
  ] as const)('a still of %i frames at 25 frames/s between moving pictures', (length, expected) => {
    const held = frames(length, () => shot(5));
    expect(told(moving(10), held, moving(10, 2))).toEqual(expected);
    expect(spans(freezesOf(moving(10), held, moving(10, 2)).ranges)).toEqual([[10, 10 + length]]);
  });
  it('2 s are so many frames', () => {
    const rates = [
      [24000, 1001, 48],
      [24, 1, 48],
      [25, 1, 50],
      [30000, 1001, 60],
      [60000, 1001, 120],
    ] as const;
    for (const [num, den, expected] of rates) expect(freezeFrames(2, rational(num, den))).toBe(expected);
  });
  it('the whole of a file of 50 frames, 13, 12, 2 and 1 of one picture', () => {
    const lengths = [50, 13, 12, 2, 1].map((n) => spans(freezesOf(frames(n, () => shot(1))).ranges));
    expect(lengths).toEqual([[[0, 50]], [[0, 13]], [], [], []]);
  });
  it('the frame a moving picture stops at belongs to it', () => {
    const stop = [...moving(20), ...frames(30, () => shot(1, 19 * 0.7))];
    expect(spans(freezesOf(stop).ranges)).toEqual([[19, 50]]);
  });
  it('identical or nearly so is told', () => {
    expect(freezesOf(frames(20, () => shot(1))).ranges[0]?.identical).toBe(true);
    const one = frames(
      20,
      (n): Frame =>
        (x, y) =>
          n === 9 && x === 3 && y === 3 ? 0.9 : shot(1)(x, y),
    );
    expect(freezesOf(one).ranges).toMatchObject([{ from: 0, to: 20, identical: false }]);
  });
  it.each([
    // Mean |difference| of two frames of +-a is a: at 16 bits the rounding is a millionth. -60 dB is 0.001.
    [0.0009, [[0, 30]]],
    [0.0011, []],
  ] as const)('noise that changes by %f of the range on average', (a, expected) => {
    const clip = frames(30, (n) => noisy(shot(1), n, a));
    const raster = { ...RASTER, depth: 16 };
    expect(spans(new Clip(clip, raster).figures().freeze.ranges)).toEqual(expected);
  });
  it('a key frame that redraws a still picture does not end it, a small real change does', () => {
    const redraw = frames(60, (n) => noisy(shot(1), Math.floor(n / 12), 0.003));
    expect(spans(freezesOf(redraw).ranges)).toEqual([[0, 60]]);
    // Twice in a row is what two fields or a pair of frames coded together give; three times is movement.
    const twice = frames(60, (n) => noisy(shot(1), Math.min(Math.max(n, 29), 31), 0.003));
    expect(spans(freezesOf(twice).ranges)).toEqual([[0, 60]]);
    const thrice = frames(60, (n) => noisy(shot(1), Math.min(Math.max(n, 29), 32), 0.003));
    expect(spans(freezesOf(thrice).ranges)).toEqual([
      [0, 30],
      [32, 60],
    ]);
    const change = frames(40, (n) => graded(shot(1), (level, x) => level + (n >= 20 && x < 30 ? 0.02 : 0)));
    expect(spans(freezesOf(change).ranges)).toEqual([
      [0, 20],
      [20, 40],
    ]);
  });
  it('a slow fade and a slow pan stay below -60 dB from frame to frame, and are no freeze', () => {
    const raster = { ...RASTER, depth: 16 };
    const fade = new Clip(
      frames(60, (n) => graded(flat(0.5), (level) => level - n * 0.0004)),
      raster,
    );
    const pan = new Clip(
      frames(60, (n) => shot(1, n * 0.02)),
      raster,
    );
    for (const clip of [fade, pan]) {
      expect(Math.max(...[...clip.columns().changeMean].slice(1))).toBeLessThan(0.001);
      expect(clip.figures().freeze.ranges).toEqual([]);
    }
  });
  it('black is no freeze, before or after one', () => {
    expect(freezesOf(frames(60, () => BLACK)).ranges).toEqual([]);
    const still = frames(20, () => shot(1));
    const black = frames(20, () => BLACK);
    expect(spans(freezesOf(black, still, black).ranges)).toEqual([[20, 40]]);
  });
  it('a cross-fade between two stills is none', () => {
    const fade = frames(14, (n) => mixed(shot(1), shot(2), (n + 1) / 15));
    const found = freezesOf(
      frames(20, () => shot(1)),
      fade,
      frames(20, () => shot(2)),
    );
    expect(spans(found.ranges)).toEqual([
      [0, 20],
      [34, 54],
    ]);
  });
});

describe('freezes, found from the columns', () => {
  it('whatever moves and stands still: every freeze is a run of still frames, as long as it can be', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.boolean(), fc.integer({ min: 1, max: 40 })), { minLength: 1, maxLength: 8 }),
        (parts) => {
          const changes = parts.flatMap(([still, length]) => Array<number>(length).fill(still ? 0 : 0.02));
          const change = Float64Array.from(changes, (value, n) => (n === 0 ? Number.NaN : value));
          // The picture is where its changes have brought it.
          const place = changes.map((_, n) => changes.slice(1, n + 1).reduce((a, b) => a + b, 0));
          const drift = change.map((_, n) => (n < 12 ? Number.NaN : (place[n] ?? 0) - (place[n - 12] ?? 0)));
          const none = new Float64Array(changes.length);
          const columns = {
            ...(Object.fromEntries(TEMPORAL_COLUMNS.map((name) => [name, none])) as Record<
              TemporalColumn,
              Float64Array
            >),
            changeMean: change,
            changeMost: change.map((value) => (value > 0 ? 1 : 0)),
            cellChange1: change,
            cellDrift: drift,
          };
          const expected: [number, number][] = [];
          for (let from = 0; from < changes.length; ) {
            let to = from + 1;
            while (to < changes.length && changes[to] === 0) to++;
            if (to - from >= 13) expected.push([from, to]);
            from = to;
          }
          expect(spans(findFreezes(columns))).toEqual(expected);
        },
      ),
    );
  });
});
