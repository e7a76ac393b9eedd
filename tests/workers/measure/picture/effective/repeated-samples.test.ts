import { describe, expect, it } from 'vitest';
import {
  RepeatSums,
  repeatedShare,
  repeatsLength,
} from '../../../../../workers/measure/picture/effective/repeated-samples.js';

const WINDOW = 64;

/** Sums of so many windows whose samples go up by 100, but repeat the one before where `repeats` says. */
function sumsOf(repeats: (step: number) => boolean, windows = 12): Float64Array {
  const { sums } = new RepeatSums(new Float64Array(repeatsLength(1)));
  const window = new Float64Array(WINDOW);
  for (let i = 1; i < WINDOW; i++) window[i] = (window[i - 1] ?? 0) + (repeats(i - 1) ? 0 : 100);
  for (let i = 0; i < windows; i++) new RepeatSums(sums).add(0, window);
  return sums;
}
const at = (...steps: readonly number[]) => {
  const places = new Set(steps);
  return (step: number): boolean => places.has(step);
};

// A line scaled up by 5/4 with the nearest sample repeats one sample in five, and no two side by side.
describe('samples that repeat the one before', () => {
  it.each<readonly [string, Parameters<typeof sumsOf>[0], number | null]>([
    ['none', () => false, 0],
    ['one in five', (step) => step % 5 === 2, 1 / 5],
    ['one in three', (step) => step % 3 === 1, 1 / 3],
    ['two side by side in eight: no scaling by less than two', (step) => step % 8 < 2, null],
    ['ten alone and a pair: a sixth is not alone', at(2, 7, 12, 17, 22, 27, 32, 37, 42, 47, 55, 56), null],
    ['two of 63: too few for any scaling', at(20, 40), null],
  ])('%s', (_, repeats, expected) => {
    const found = repeatedShare(sumsOf(repeats));
    if (expected === null) expect(found).toBeNull();
    else expect(found).toBeCloseTo(expected, 10);
  });

  it('say nothing in fewer than twelve windows', () => {
    expect(repeatedShare(sumsOf((step) => step % 5 === 2, 11))).toBeNull();
  });
});
