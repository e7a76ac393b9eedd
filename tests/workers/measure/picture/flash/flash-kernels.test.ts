import { describe, expect, it } from 'vitest';
import { ScalarKernel } from '../../../../oracle/scalar-kernel.js';
import { packPlanes } from '../kernel/naive-picture.js';
import { columnsOf, type Film, GREY, PQ2100, planOf, RGB, studyOf } from './flash-films.js';

/**
 * What the kernel gives the screening is what the definition says: the columns are the same to the last bit.
 */
describe('the screening on a kernel', () => {
  const shapes: readonly Film['shape'][] = [
    { ...GREY, width: 51, height: 35 },
    { ...RGB, width: 51, height: 35 },
    { ...RGB, width: 1030, height: 20, depth: 8 },
    { ...GREY, model: 'ycbcr', shiftX: 1, shiftY: 1, width: 51, height: 35 },
    { ...GREY, model: 'ycbcr', shiftX: 1, shiftY: 0, width: 51, height: 35, depth: 12, colour: PQ2100 },
    { ...GREY, model: 'ycbcr', shiftX: 1, shiftY: 1, width: 48, height: 32, interlaced: true },
  ];
  it.each(shapes)('%o', (shape) => {
    let state = 1;
    const next = (): number => {
      state = (state * 1_103_515_245 + 12_345) % 2 ** 31;
      return state / 2 ** 31;
    };
    const top = 2 ** shape.depth - 1;
    const chroma = Math.ceil(shape.width / 2 ** shape.shiftX) * Math.ceil(shape.height / 2 ** shape.shiftY);
    const full = shape.width * shape.height;
    const sizes = { grey: [full], rgb: [full, full, full], ycbcr: [full, chroma, chroma] }[shape.model];
    const frames = Array.from({ length: 8 }, () =>
      sizes.map((size) => {
        const level = next();
        return Array.from({ length: size }, () => Math.round(top * (0.8 * level + 0.2 * next())));
      }),
    );
    const film: Film = { shape, rate: '25/1', frames };
    const kernel = new ScalarKernel(planOf(shape));
    const study = studyOf(film);
    const columns = columnsOf(film);
    frames.forEach((planes, frame) => {
      kernel.slots[frame % kernel.slots.length]?.set(packPlanes({ ...shape, planes }));
      const row = study.observe(kernel.measure(frame).features);
      for (const name of study.columns) expect([name, row[name]]).toEqual([name, columns[name][frame]]);
    });
  });
});
