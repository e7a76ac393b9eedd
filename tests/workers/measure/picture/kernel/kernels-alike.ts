import { expect } from 'vitest';
import { kernelModule } from '../../../../../workers/measure/picture/kernel/kernel-module.js';
import type {
  FrameReading,
  PictureKernel,
} from '../../../../../workers/measure/picture/kernel/picture-kernel.js';
import { WasmKernel } from '../../../../../workers/measure/picture/kernel/wasm-kernel.js';
import { type PicturePlan, picturePlan } from '../../../../../workers/measure/picture/plan/picture-plan.js';
import { ScalarKernel } from '../../../../oracle/scalar-kernel.js';
import { type NaivePicture, naiveFacts, packPlanes, pixelFormatName } from './naive-picture.js';

const module = kernelModule();

export function planOf(picture: NaivePicture): PicturePlan {
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

/** Both kernels find the same in these frames, to the last bit. */
export function expectKernelsAlike(frames: readonly NaivePicture[]): void {
  const [first] = frames;
  if (!first) throw new Error('no frame to compare');
  const plan = planOf(first);
  const expected: Record<string, unknown>[] = [];
  run(new ScalarKernel(plan), frames, (_, reading) => expected.push(plain(reading)));
  run(new WasmKernel(plan, module), frames, (frame, reading) => {
    const found = plain(reading);
    if (JSON.stringify(found) !== JSON.stringify(expected[frame])) expect(found).toEqual(expected[frame]);
  });
}
