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

/** A reading as it is now: a kernel writes the next one into the same memory. */
function copied(value: unknown): unknown {
  if (ArrayBuffer.isView(value)) return Array.from(value as Float64Array);
  if (Array.isArray(value)) return value.map(copied);
  if (typeof value !== 'object' || value === null) return value;
  return Object.fromEntries(Object.entries(value).map(([key, each]) => [key, copied(each)]));
}

/** As `toEqual` sees it, which takes seconds for histograms of 16 bits. */
function isSame(a: unknown, b: unknown): boolean {
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return Object.is(a, b);
  if (Array.isArray(a) && Array.isArray(b)) {
    return a.length === b.length && a.every((each, i) => isSame(each, b[i]));
  }
  const [left, right] = [Object.entries(a), new Map<string, unknown>(Object.entries(b))];
  return left.length === right.size && left.every(([key, each]) => isSame(each, right.get(key)));
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
  const expected: unknown[] = [];
  run(new ScalarKernel(plan), frames, (_, reading) => expected.push(copied(reading)));
  run(new WasmKernel(plan, module), frames, (frame, reading) => {
    const found = copied(reading);
    if (!isSame(found, expected[frame])) expect(found).toEqual(expected[frame]);
  });
}
