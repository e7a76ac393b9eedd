import { describe, expect, it } from 'vitest';
import { Clip, type Frame, flat, frames, graded, hash, shot, spans } from './watch-clip.js';

/** The picture at times `at`, in movement of `speed` pixels a frame. */
const play = (at: readonly number[], speed = 1.5): Frame[] => at.map((t) => shot(1, t * speed));
const upTo = (count: number): number[] => Array.from({ length: count }, (_, n) => n);
const repeatsOf = (clip: readonly Frame[]) => {
  const { duplicate, missingMotion } = new Clip(clip).figures();
  return {
    single: spans(duplicate.ranges),
    regular: duplicate.regular,
    missing: spans(missingMotion.ranges),
  };
};
const grain = (frame: Frame, seed: number, a: number): Frame =>
  graded(frame, (level, x, y) => level + (hash(x, y, seed) - 0.5) * a);

describe('repeated frames (reported; common practice, no source)', () => {
  it('one frame shown twice in a moving picture', () => {
    expect(repeatsOf(play([0, 1, 2, 3, 4, 4, 6, 7, 8, 9])).single).toEqual([[5, 6]]);
    expect(repeatsOf(play([0, 1, 2, 3, 4, 4, 5, 6, 7, 8])).single).toEqual([[5, 6]]);
  });
  it.each([1, 2, 11])('one frame shown %i more times, short of a freeze', (more) => {
    const clip = play([0, 1, 2, 3, ...Array<number>(more).fill(3), 4, 5, 6, 7]);
    expect(repeatsOf(clip).single).toEqual([[4, 4 + more]]);
  });
  it('13 frames of one picture are a freeze instead', () => {
    const clip = play([0, 1, 2, 3, ...Array<number>(12).fill(3), 4, 5, 6, 7]);
    expect(repeatsOf(clip).single).toEqual([]);
    expect(spans(new Clip(clip).figures().freeze.ranges)).toEqual([[3, 16]]);
  });
  it('at head and tail, and beside a cut', () => {
    expect(repeatsOf(play([0, 0, 1, 2, 3, 4])).single).toEqual([[1, 2]]);
    expect(repeatsOf(play([0, 1, 2, 3, 4, 4])).single).toEqual([[5, 6]]);
    const other = frames(15, (n) => shot(2, n * 1.5));
    expect(repeatsOf([...play([...upTo(14), 13]), ...other]).single).toEqual([[14, 15]]);
  });
  it('among grain, where it was made after the grain, and a little coding since', () => {
    const original = frames(20, (n) => grain(shot(1, n * 0.2), n, 0.04));
    const clip = [...original.slice(0, 10), original[9] ?? flat(0), ...original.slice(10)];
    expect(repeatsOf(clip.map((frame, n) => grain(frame, n + 500, 0.001))).single).toEqual([[10, 11]]);
  });
  it('nothing in steady movement, a static shot, one or two frames', () => {
    for (const clip of [
      play(upTo(30)),
      play(Array<number>(30).fill(3)),
      play([0]),
      play([0, 0]),
      play([0, 1]),
    ]) {
      expect(repeatsOf(clip)).toMatchObject({ single: [], regular: { frames: 0, ranges: [] }, missing: [] });
    }
  });
  it('a shot that stands still and then moves repeats nothing', () => {
    expect(repeatsOf(play([...Array<number>(8).fill(0), 1, 2, 3, 4, 5])).single).toEqual([]);
    const cutTo = [...frames(15, (n) => shot(2, n * 1.5)), ...play([...Array<number>(8).fill(0), 1, 2, 3])];
    expect(repeatsOf(cutTo).single).toEqual([]);
  });
  it('flashes of light on a still picture repeat nothing', () => {
    const still = (n: number): Frame => grain(shot(1), n, 0.01);
    const lit = (n: number): Frame => graded(still(n), (level) => level * 1.2 + 0.1);
    expect(repeatsOf(frames(40, (n) => (n % 5 === 3 ? lit(n) : still(n)))).single).toEqual([]);
  });
});

describe('repeats in step', () => {
  it('24 pictures a second shown as 30: every fifth frame', () => {
    const clip = play(upTo(40).map((n) => Math.floor((n * 4) / 5)));
    const found = repeatsOf(clip);
    expect(found.single).toEqual([]);
    expect(found.regular.ranges).toMatchObject([{ every: 5 }]);
    expect(found.regular.frames).toBe(8);
  });
  it('24 shown as 60: for two and three frames in turn', () => {
    const clip = play(upTo(60).map((n) => Math.floor((n * 2) / 5)));
    const found = repeatsOf(clip);
    expect(found.single).toEqual([]);
    expect(found.regular.ranges[0]?.every).toBeCloseTo(2.5, 1);
    // 60 frames show 24 pictures, which leaves 36 repeats; the first picture's two and the last one's have no
    // movement before or after.
    expect(found.regular.frames).toBe(33);
  });
  it('a repeat out of step among them', () => {
    const times = upTo(60).map((n) => Math.floor((n * 4) / 5));
    times.splice(33, 0, times[32] ?? 0);
    const found = repeatsOf(play(times));
    expect(found.regular.frames + found.single.length).toBe(13);
    expect(found.single.length + found.regular.ranges.length).toBeGreaterThan(1);
  });
});

describe('missing motion', () => {
  it('a lost frame in a moving picture', () => {
    expect(repeatsOf(play([0, 1, 2, 3, 4, 5, 7, 8, 9, 10, 11])).missing).toEqual([[6, 7]]);
  });
  it('a frame that repeats in the place of another', () => {
    expect(repeatsOf(play([0, 1, 2, 3, 4, 5, 5, 7, 8, 9, 10, 11]))).toMatchObject({
      single: [[6, 7]],
      missing: [[7, 8]],
    });
  });
  it('with grain', () => {
    const clip = play([0, 1, 2, 3, 4, 5, 7, 8, 9, 10, 11], 2).map((frame, n) => grain(frame, n, 0.02));
    expect(repeatsOf(clip).missing).toEqual([[6, 7]]);
  });
  it('not where a title comes on', () => {
    const titled = play(upTo(20)).map(
      (f, n): Frame =>
        (x, y) =>
          n >= 10 && y > 40 && y < 48 && x % 5 < 2 ? 0.95 : f(x, y),
    );
    expect(repeatsOf(titled).missing).toEqual([]);
  });
  it('not where the movement speeds up, or at a cut', () => {
    const faster = upTo(30).map((n) => (n < 15 ? n : 15 + (n - 15) * 2));
    expect(repeatsOf(play(faster)).missing).toEqual([]);
    expect(repeatsOf(play(upTo(30).map((n) => (n * n) / 20))).missing).toEqual([]);
    expect(repeatsOf([...play(upTo(15)), ...frames(15, (n) => shot(2, n * 1.5))]).missing).toEqual([]);
  });
});
