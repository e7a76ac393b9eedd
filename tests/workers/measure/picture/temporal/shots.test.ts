import { describe, expect, it } from 'vitest';
import { BLACK, Clip, type Frame, flat, frames, graded, hash, mixed, shot, spans } from './watch-clip.js';

/** A shot of `count` frames in slow movement. */
const moving = (seed: number, count: number): Frame[] => frames(count, (n) => shot(seed, n * 0.7));
const noisy = (frame: Frame, n: number): Frame =>
  graded(frame, (level, x, y) => level + (hash(x, y, n + 900) - 0.5) * 0.06);
const figuresOf = (...parts: readonly (readonly Frame[])[]) => new Clip(parts.flat()).figures().shortShot;

describe('short shots (below 3 frames they are flash frames: common practice, no source)', () => {
  it.each([1, 2, 3, 11])('a shot of %i frames between two others is listed with its place', (length) => {
    const found = figuresOf(moving(1, 20), moving(2, length), moving(3, 20));
    expect(spans(found.ranges)).toEqual([[20, 20 + length]]);
    expect(found).toMatchObject({ cuts: 2, places: 1, frames: length });
  });
  it('a shot of 12 is not', () => {
    expect(figuresOf(moving(1, 20), moving(2, 12), moving(3, 20))).toMatchObject({ cuts: 2, ranges: [] });
  });
  it.each([1, 2])('%i frames of another shot inside one that goes on', (length) => {
    const base = moving(1, 40);
    const cut = [...base.slice(0, 20), ...moving(2, length), ...base.slice(20 + length)];
    expect(spans(figuresOf(cut).ranges)).toEqual([[20, 20 + length]]);
  });
  it('stray frames at head and tail', () => {
    expect(spans(figuresOf(moving(1, 1), moving(2, 20), moving(3, 2)).ranges)).toEqual([
      [0, 1],
      [21, 23],
    ]);
  });
  it('a black frame between two shots', () => {
    expect(spans(figuresOf(moving(1, 20), [BLACK], moving(2, 20)).ranges)).toEqual([[20, 21]]);
  });
  it('noise makes no difference', () => {
    const clip = [...moving(1, 20), ...moving(2, 1), ...moving(3, 20)].map(noisy);
    expect(spans(figuresOf(clip).ranges)).toEqual([[20, 21]]);
    expect(figuresOf(moving(1, 30).map(noisy))).toMatchObject({ cuts: 0, ranges: [] });
  });
  it('in the dark: levels of 4 to 16 %', () => {
    const dark = (part: Frame[]): Frame[] => part.map((f) => graded(f, (level) => level * 0.2));
    expect(spans(figuresOf(dark(moving(1, 20)), dark(moving(2, 1)), dark(moving(3, 20))).ranges)).toEqual([
      [20, 21],
    ]);
  });
  it('letterbox bars, alike in all shots, hide none', () => {
    const boxed = (part: Frame[]): Frame[] => part.map((f) => (x, y) => (y < 14 || y >= 40 ? 0 : f(x, y)));
    expect(spans(figuresOf(boxed(moving(1, 20)), boxed(moving(2, 1)), boxed(moving(3, 20))).ranges)).toEqual([
      [20, 21],
    ]);
  });
});

describe('what is no short shot', () => {
  it('one shot, however short the file', () => {
    for (const count of [1, 2, 5]) expect(figuresOf(moving(1, count)).ranges).toEqual([]);
  });
  it.each([0.3, 0.95])('figures of a counter that change in every frame on a plate of %f', (level) => {
    const figures = frames(40, (n) => (x, y) => {
      const inside = x >= 40 && x < 56 && y >= 16 && y < 38;
      return inside && hash(x >> 2, y >> 2, n) > 0.5 ? 1 - level : level;
    });
    expect(figuresOf(figures)).toMatchObject({ cuts: 0, ranges: [], unclear: { places: 0 } });
    const other = [...figures.slice(0, 20), flat(level === 0.3 ? 0.6 : 0.5), ...figures.slice(20)];
    expect(spans(figuresOf(other).ranges)).toEqual([[20, 21]]);
  });
  it('black leaders of any length', () => {
    expect(figuresOf([BLACK], moving(1, 20), [BLACK, BLACK]).ranges).toEqual([]);
  });
  it('a cross-fade, and a fade from and to black', () => {
    const fade = frames(12, (n) => mixed(shot(1, 14), shot(2), (n + 1) / 13));
    expect(figuresOf(moving(1, 20), fade, moving(2, 20))).toMatchObject({
      ranges: [],
      unclear: { places: 0 },
    });
    const up = frames(12, (n) => mixed(BLACK, shot(1), n / 12));
    const down = frames(12, (n) => mixed(shot(1, 14), BLACK, (n + 1) / 12));
    expect(figuresOf([BLACK, BLACK], up, moving(1, 20), down, [BLACK]).ranges).toEqual([]);
  });
  it.each([
    ['blended', mixed(shot(1, 14), shot(2, 0), 0.5)],
    ['of two fields', (x: number, y: number) => (y % 2 === 0 ? shot(1, 14)(x, y) : shot(2, 0)(x, y))],
  ] as [string, Frame][])('a frame at a cut %s of both shots', (_, between) => {
    expect(figuresOf(moving(1, 20), [between], moving(2, 20)).ranges).toEqual([]);
  });
  it('a flash of light on the same picture', () => {
    const lit = graded(shot(1, 14), (level) => Math.min(level * 1.3 + 0.25, 1.05));
    expect(figuresOf(moving(1, 20), [lit], moving(1, 20)).ranges).toEqual([]);
  });
  it('but a frame of another, brighter picture is one', () => {
    const dark = moving(1, 40).map((f) => graded(f, (level) => level * 0.3));
    const bright = graded(shot(5), (level) => level * 0.5 + 0.45);
    const clip = [...dark.slice(0, 20), bright, ...dark.slice(21)];
    expect(spans(figuresOf(clip).ranges)).toEqual([[20, 21]]);
  });
  it('movement so fast that frame after frame is another picture is told as unclear', () => {
    const whip = frames(6, (n) => shot(1, 14 + 40 * (n + 1)));
    const found = figuresOf(moving(1, 20), whip, moving(1, 20));
    expect(found.ranges).toEqual([]);
    expect(found.unclear.places).toBe(1);
    expect(found.unclear.ranges[0]?.from).toBe(20);
  });
  it('movement that swells and ebbs is no row of short shots: told as unclear', () => {
    let place = 14;
    const pan = frames(24, (n) => {
      place += n % 3 === 0 ? 7 : 5;
      return shot(1, place);
    });
    const found = figuresOf(moving(1, 20), pan, moving(7, 20));
    expect(found.ranges).toEqual([]);
    expect(found.unclear.places).toBeGreaterThan(0);
  });
  it('a stray frame in fast movement stands out', () => {
    const pan = frames(40, (n) => shot(1, 3 * n));
    const clip = [...pan.slice(0, 20), shot(9), ...pan.slice(20)];
    expect(spans(figuresOf(clip).ranges)).toEqual([[20, 21]]);
  });
  it('credits that roll fast are none, nor unclear', () => {
    const words: Frame = (x, y) => (hash(Math.floor(x / 3), Math.floor(y / 3), 8) > 0.94 ? 0.9 : 0);
    const roll = frames(
      20,
      (n): Frame =>
        (x, y) =>
          words(x, y + 11 * n),
    );
    expect(figuresOf(roll)).toMatchObject({ ranges: [], unclear: { places: 0 } });
  });
  it('flat colours without a pattern are shots too', () => {
    expect(spans(figuresOf(moving(1, 20), [flat(0.9)], moving(2, 20)).ranges)).toEqual([[20, 21]]);
  });
});
