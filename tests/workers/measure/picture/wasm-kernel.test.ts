import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type {
  FrameReading,
  PictureKernel,
  PicturePlan,
} from '../../../../workers/measure/picture/picture-kernel.js';
import { picturePlan } from '../../../../workers/measure/picture/picture-plan.js';
import { ScalarKernel } from '../../../../workers/measure/picture/scalar-kernel.js';
import { kernelModule } from '../../../../workers/measure/picture/wasm/kernel-module.js';
import { WasmKernel } from '../../../../workers/measure/picture/wasm/wasm-kernel.js';
import { type NaivePicture, naiveFacts, packPlanes, pixelFormatName } from './naive-picture.js';
import { COLOURS, LAYOUTS, pictureOf } from './random-picture.js';

const module = kernelModule();

function planOf(picture: NaivePicture): PicturePlan {
  const plan = picturePlan(naiveFacts(picture, pixelFormatName(picture)), picture.colour);
  if ('unknown' in plan) throw new Error(plan.unknown);
  return plan;
}

/** Everything of a reading as plain values, so that a difference shows where it is. */
function plain(reading: FrameReading): Record<string, unknown> {
  const { features, rgb, light } = reading;
  const { cells, change } = features;
  return {
    ...reading,
    features: { ...features, histograms: features.histograms.map((h) => [...h]) },
    extremes: [features.rowMin, features.rowMax, features.columnMin, features.columnMax].map((v) => [...v]),
    sums: cells.sums.map((sum) => [...sum]),
    rough: [[...cells.roughness.frame], [...cells.roughness.field]],
    change: change && [
      [...change.even],
      [...change.odd],
      [...change.weave.even],
      [...change.weave.odd],
      change.most,
    ],
    rgb: rgb && [[...rgb.red], [...rgb.green], [...rgb.blue]],
    light: light && {
      ...light,
      counts: [...light.counts],
      brightest: light.brightest && [...light.brightest],
    },
  };
}

function run(
  kernel: PictureKernel,
  frames: readonly NaivePicture[],
  each: (frame: number, r: FrameReading) => void,
) {
  frames.forEach((picture, frame) => {
    kernel.slots[frame % kernel.slots.length]?.set(packPlanes(picture));
    each(frame, kernel.measure(frame));
  });
}

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
          const [first] = frames;
          if (!first) return;
          const plan = planOf(first);
          const oracle = new ScalarKernel(plan);
          const expected: Record<string, unknown>[] = [];
          run(oracle, frames, (_, reading) => expected.push(plain(reading)));
          run(new WasmKernel(plan, module), frames, (frame, reading) => {
            const found = plain(reading);
            if (JSON.stringify(found) !== JSON.stringify(expected[frame]))
              expect(found).toEqual(expected[frame]);
          });
        },
      ),
      { numRuns: 25 },
    );
  });
});
