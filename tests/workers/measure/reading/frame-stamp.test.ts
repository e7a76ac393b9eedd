import { describe, expect, it } from 'vitest';
import { rational } from '../../../../signal/rational.js';
import { isStampOf } from '../../../../workers/measure/reading/frame-stamp.js';

const film = rational(24000, 1001);

describe('a time stamp and the number of its frame', () => {
  it.each([
    // Matroska: ticks of 1 ms. Frame 100 at 24000/1001 begins at 4170.83 ms; a neighbour is 41.7 ms away.
    ['to the nearest millisecond', 100, 4171, rational(1, 1000), film, true],
    ['rounded the other way', 100, 4170, rational(1, 1000), film, true],
    ['of the frame before', 100, 4129, rational(1, 1000), film, false],
    ['a little late', 100, 4173, rational(1, 1000), film, false],
    ['a clock of three ticks a frame, one off', 7, 20, rational(1, 75), rational(25, 1), true],
    // A clock that counts frames or halves of frames: nothing is rounded, so nothing may be off.
    ['counted in frames', 100, 100, rational(1, 25), rational(25, 1), true],
    ['counted in frames, one off', 100, 101, rational(1, 25), rational(25, 1), false],
    ['counted in frames of a fractional rate', 100, 100, rational(1001, 24000), film, true],
    ['counted in fields', 100, 200, rational(1, 50), rational(25, 1), true],
    ['counted in fields, one off', 100, 201, rational(1, 50), rational(25, 1), false],
    // 1 ms at 600 frames a second: two frames may carry one stamp.
    ['a clock too coarse to tell', 3, 5, rational(1, 1000), rational(600, 1), false],
  ])('%s', (_, frame, ticks, timeBase, rate, expected) => {
    expect(isStampOf(frame, ticks, timeBase, rate)).toBe(expected);
  });
});
