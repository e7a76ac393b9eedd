import { describe, expect, it } from 'vitest';
import { isHdrChange } from '../../../../../workers/measure/picture/flash/rules.js';
import { LuminanceSwings, RedSwings } from '../../../../../workers/measure/picture/flash/swings.js';

describe('a swing of one cell', () => {
  const follow = (levels: readonly number[]): number[] => {
    const light = new Float64Array(1);
    const swings = new LuminanceSwings(light, isHdrChange);
    const changes = new Int8Array(1);
    return levels.map((level) => {
      light[0] = level;
      swings.observe(changes);
      return changes[0] ?? 0;
    });
  };
  it.each([
    ['up at once', [50, 70], [0, 1]],
    ['up in small steps', [50, 60, 65, 69, 70], [0, 0, 0, 0, 1]],
    ['once, however far it goes on', [50, 70, 90, 120], [0, 1, 0, 0]],
    ['back from the highest, not from where it counted', [50, 70, 90, 71, 70], [0, 1, 0, 0, -1]],
    ['not by a wobble in between', [50, 60, 55, 69, 60, 69], [0, 0, 0, 0, 0, 0]],
    ['down first', [70, 50, 70], [0, -1, 1]],
    ['above 160 by contrast', [200, 224, 226, 202, 200], [0, 0, 1, 0, -1]],
  ])('%s', (_, levels, expected) => expect(follow(levels)).toEqual(expected));

  /** A frame of redness, saturated or not. */
  const redFollow = (steps: readonly (readonly [number, 0 | 1])[]): number[] => {
    const red = new Float64Array(1);
    const saturated = new Uint8Array(1);
    const swings = new RedSwings(red, saturated);
    const changes = new Int8Array(1);
    return steps.map(([level, isSaturated]) => {
      red[0] = level;
      saturated[0] = isSaturated;
      swings.observe(changes);
      return changes[0] ?? 0;
    });
  };
  it.each<[string, readonly (readonly [number, 0 | 1])[], number[]]>([
    [
      'to a saturated red',
      [
        [0, 0],
        [21, 1],
      ],
      [0, 1],
    ],
    [
      'by 20 is not enough',
      [
        [0, 0],
        [20, 1],
      ],
      [0, 0],
    ],
    [
      'from a saturated red',
      [
        [50, 1],
        [29, 0],
      ],
      [0, -1],
    ],
    [
      'between reds that are not',
      [
        [0, 0],
        [90, 0],
        [0, 0],
      ],
      [0, 0, 0],
    ],
    [
      'that becomes saturated later',
      [
        [0, 0],
        [30, 0],
        [60, 1],
      ],
      [0, 0, 1],
    ],
    [
      'from a saturated red to a brighter one that is not',
      [
        [10, 1],
        [40, 0],
      ],
      [0, 1],
    ],
    [
      'from a saturated red just beside the extreme',
      [
        [0, 0],
        [90, 1],
        [95, 0],
        [0, 0],
      ],
      [0, 1, 0, -1],
    ],
    [
      'there and back',
      [
        [0, 0],
        [90, 1],
        [0, 0],
        [90, 1],
      ],
      [0, 1, -1, 1],
    ],
  ])('%s', (_, steps, expected) => expect(redFollow(steps)).toEqual(expected));
});
