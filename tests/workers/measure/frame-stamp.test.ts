import { describe, expect, it } from 'vitest';
import { rational } from '../../../signal/rational.js';
import { isStampOf } from '../../../workers/measure/frame-stamp.js';

const NTSC = rational(30_000, 1001);

describe('the number of a frame by its time stamp', () => {
  it.each([
    ['milliseconds, rounded', 3, 100, rational(1, 1000), NTSC, true],
    ['milliseconds, the frame before', 3, 67, rational(1, 1000), NTSC, false],
    ['ticks of the rate', 10_000, 10_010_000, rational(1, 30_000), NTSC, true],
    ['one tick a frame', 7, 7, rational(1, 25), rational(25, 1), true],
    ['one tick a frame, the frame after', 7, 8, rational(1, 25), rational(25, 1), false],
    ['a tick and a half a frame tells nothing', 2, 3, rational(1, 75), rational(50, 1), false],
    ['frames shorter than a tick', 2, 1, rational(1, 25), rational(50, 1), false],
  ])('%s', (_, frame, ticks, timeBase, rate, expected) => {
    expect(isStampOf(frame, ticks, timeBase, rate)).toBe(expected);
  });
});
