import { describe, expect, it } from 'vitest';
import { likelyPath, runsOfStates } from '../../../../../workers/measure/picture/fields/likely-path.js';
import { random } from './moving-picture.js';

/** Price of a path by its definition. */
function price(path: ArrayLike<number>, change: number, costs: readonly (readonly number[])[]): number {
  let sum = 0;
  for (let frame = 0; frame < path.length; frame++) {
    sum += costs[frame]?.[path[frame] ?? 0] ?? Number.NaN;
    if (frame > 0 && path[frame] !== path[frame - 1]) sum += change;
  }
  return sum;
}

/** Every path of so many frames through so many states. */
function* allPaths(frames: number, states: number): Generator<number[]> {
  for (let n = 0; n < states ** frames; n++) {
    yield Array.from({ length: frames }, (_, i) => Math.floor(n / states ** i) % states);
  }
}

describe('likelyPath', () => {
  it('is as cheap as the cheapest of all paths', () => {
    const next = random(3);
    for (let trial = 0; trial < 40; trial++) {
      const costs = Array.from({ length: 6 }, () => Array.from({ length: 3 }, () => Math.floor(4 * next())));
      const change = 1 + Math.floor(3 * next());
      const found = likelyPath(6, 3, change, (frame, state) => costs[frame]?.[state] ?? 0);
      let least = Number.POSITIVE_INFINITY;
      for (const path of allPaths(6, 3)) least = Math.min(least, price(path, change, costs));
      expect(price(found, change, costs)).toBe(least);
    }
  });

  it('of no frames is empty', () => {
    expect(likelyPath(0, 3, 1, () => 0)).toHaveLength(0);
  });
});

it('runs of states are half open and cover the path', () => {
  expect(runsOfStates(Uint8Array.from([2, 2, 0, 1, 1]))).toEqual([
    { state: 2, from: 0, to: 2 },
    { state: 0, from: 2, to: 3 },
    { state: 1, from: 3, to: 5 },
  ]);
});
