import fc from 'fast-check';
import { describe, it } from 'vitest';
import { expectKernelsAlike } from './kernels-alike.js';
import { COLOURS, LAYOUTS, pictureOf } from './random-picture.js';

describe('the WebAssembly kernel finds what the oracle finds, bit for bit', () => {
  it.each(LAYOUTS)('in random frames, $model with chroma shifts $shiftX, $shiftY', (layout) => {
    fc.assert(
      fc.property(
        fc.record({
          width: fc.integer({ min: 1, max: 70 }),
          height: fc.integer({ min: 1, max: 27 }),
          depth: fc.constantFrom(8, 9, 10, 12, 14, 16),
          wild: fc.boolean(),
          smooth: fc.boolean(),
          interlaced: fc.boolean(),
        }),
        fc.constantFrom(...COLOURS),
        fc.infiniteStream(fc.double({ min: 0, max: 1, noNaN: true })),
        (shape, colour, stream) => {
          const take = (count: number): number[] =>
            Array.from({ length: count }, () => stream.next().value ?? 0);
          const frames = Array.from({ length: 4 }, () => pictureOf(shape, layout, colour, take));
          expectKernelsAlike(frames);
        },
      ),
      { numRuns: 25 },
    );
  });
});
