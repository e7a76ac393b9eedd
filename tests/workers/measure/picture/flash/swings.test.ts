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

describe('cells side by side', () => {
  it('each is followed by itself, whatever its neighbours did before', () => {
    const cells = 1100;
    const red = new Float64Array(cells);
    const saturated = new Uint8Array(cells);
    const all = new RedSwings(red, saturated);
    const together = new Int8Array(cells);
    // Cell 3 is red first, 5 in the same stretch later, 700 after the second start; 1099 never.
    const watched = [3, 4, 5, 700, 1099].map((cell) => {
      const own = { red: new Float64Array(1), saturated: new Uint8Array(1) };
      return { cell, ...own, swings: new RedSwings(own.red, own.saturated), change: new Int8Array(1) };
    });
    const turns = new Map<number, number[]>();
    for (let frame = 0; frame < 60; frame++) {
      if (frame === 30) for (const { swings } of [...watched, { swings: all }]) swings.restart();
      const isOn = frame % 4 >= 2;
      for (const [cell, from] of [
        [3, 6],
        [5, 14],
        [700, 40],
      ] as const) {
        red[cell] = isOn && frame >= from ? 200 : 0;
        saturated[cell] = isOn && frame >= from ? 1 : 0;
      }
      all.observe(together);
      for (const own of watched) {
        own.red[0] = red[own.cell] ?? 0;
        own.saturated[0] = saturated[own.cell] ?? 0;
        own.swings.observe(own.change);
        expect(together[own.cell], `cell ${own.cell}, frame ${frame}`).toBe(own.change[0]);
        if (own.change[0] !== 0) turns.set(own.cell, [...(turns.get(own.cell) ?? []), frame]);
      }
    }
    // A turn with every other pair of frames from the first red on; none in the frame of a new start.
    expect(turns.get(3)?.slice(0, 4)).toEqual([6, 8, 10, 12]);
    expect(turns.get(5)?.slice(0, 3)).toEqual([14, 16, 18]);
    expect(turns.get(700)?.slice(0, 3)).toEqual([42, 44, 46]);
    expect([...turns.keys()].sort((a, b) => a - b)).toEqual([3, 5, 700]);
  });
});
