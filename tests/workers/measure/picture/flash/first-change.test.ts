import { expect, it } from 'vitest';
import { firstUnderWay } from '../../../../../workers/measure/picture/flash/first-change.js';

/** A screen that goes up, and back down two hours later; then up and down once more. */
function film(frames: number): { up: Float64Array; down: Float64Array; light: Float64Array } {
  const [up, down] = [new Float64Array(frames + 20), new Float64Array(frames + 20)];
  const light = new Float64Array(frames + 20)
    .fill(100, 0, frames)
    .fill(1, frames, frames + 5)
    .fill(100, frames + 5);
  light[0] = 50;
  up[1] = 1;
  down[frames] = 1;
  up[frames + 5] = 1;
  down[frames + 10] = 1;
  return { up, down, light };
}

it('a film of any length may lie between two changes', () => {
  const { up, down, light } = film(200_000);
  const isChange = (dark: number, bright: number): boolean => bright - dark >= 20;
  // The light rose at the end of the first frame and stayed: it was complete where it was seen.
  expect(firstUnderWay(up, down, light, isChange)).toBeNull();
});
