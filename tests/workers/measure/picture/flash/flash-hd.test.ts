import { describe, expect, it } from 'vitest';
import { parseRational } from '../../../../../signal/rational.js';
import { frameClock } from '../../../../../workers/measure/figures/frame-ranges.js';
import { flashFigures } from '../../../../../workers/measure/picture/flash/flash-figures.js';
import type { FlashColumn } from '../../../../../workers/measure/picture/flash/flash-study.js';
import { kernelModule } from '../../../../../workers/measure/picture/kernel/kernel-module.js';
import { WasmKernel } from '../../../../../workers/measure/picture/kernel/wasm-kernel.js';
import { type Film, GREY, planOf, studyOf } from './flash-films.js';

/**
 * An HD picture has 8,160 cells of 16 pixels, more than are worked on at a time: what flashes must be seen
 * wherever in the picture it lies. The kernel as it runs, and the study, on frames of known codes.
 */
const SHAPE: Film['shape'] = {
  ...GREY,
  model: 'ycbcr',
  shiftX: 1,
  shiftY: 1,
  width: 1920,
  height: 1080,
  depth: 8,
};
const BLACK = 16;
const WHITE = 235;
const LUMA = SHAPE.width * SHAPE.height;

/** A frame that is white in the rows `[from, to)`, black elsewhere, without colour. */
function whiteRows(from: number, to: number): Uint8Array {
  return new Uint8Array((LUMA * 3) / 2)
    .fill(BLACK, 0, LUMA)
    .fill(WHITE, from * SHAPE.width, to * SHAPE.width)
    .fill(128, LUMA);
}

/**
 * What the screening says of a film of 25 frames a second: those rows flash five times between frames 25 and
 * 50.
 */
function flashing(from: number, to: number) {
  const plan = planOf(SHAPE);
  const kernel = new WasmKernel(plan, kernelModule());
  const study = studyOf({ shape: SHAPE, rate: '25/1', frames: [] });
  const [off, on] = [whiteRows(0, 0), whiteRows(from, to)];
  const rows = Array.from({ length: 60 }, (_, frame) => {
    const isOn = frame >= 25 && frame < 50 && frame % 5 < 2;
    kernel.slots[frame % kernel.slots.length]?.set(isOn ? on : off);
    return { ...study.observe(kernel.measure(frame).features) };
  });
  const column = (name: FlashColumn) => [name, Float64Array.from(rows, (row) => row[name])] as const;
  const columns = Object.fromEntries(study.columns.map(column)) as Record<FlashColumn, Float64Array>;
  const { flashes } = flashFigures(plan, parseRational('25/1'), columns, frameClock('10:00:00:00', '25/1'));
  if (flashes === null) throw new Error('this film is not judged');
  return flashes;
}

/** BT.1702-3, Guideline 1: more than three flashes in a second over more than a quarter of the screen. */
describe('a flash in an HD picture', () => {
  it.each([
    ['the lower half', 544, 1080],
    ['the upper half', 0, 544],
    ['the middle', 272, 816],
    ['all of it', 0, 1080],
  ] as const)('%s is seen with its area', (_, from, to) => {
    const { general, red } = flashing(from, to);
    expect(general.ranges).toHaveLength(1);
    expect(general.worstSecond?.flashes).toBe(5);
    expect(general.worstSecond?.area).toBeCloseTo((to - from) / 1080, 9);
    expect(red.ranges).toEqual([]);
  });
  it.each([
    ['at the bottom', 848, 1080],
    ['at the top', 0, 240],
    ['in the middle', 400, 640],
  ] as const)('is let pass where it takes less than a quarter of the screen, %s', (_, from, to) => {
    expect(flashing(from, to).general).toMatchObject({ worstSecond: null, ranges: [] });
  });
});
