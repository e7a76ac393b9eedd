import { describe, expect, it } from 'vitest';
import type { Colour } from '../../../../jobs/manifest/colour.js';
import { MOST_BYTES, partBytes, partsInMemory } from '../../../../workers/measure/parts/part-memory.js';
import { kernelModule } from '../../../../workers/measure/picture/kernel/kernel-module.js';
import { WasmKernel } from '../../../../workers/measure/picture/kernel/wasm-kernel.js';
import { type PicturePlan, picturePlan } from '../../../../workers/measure/picture/plan/picture-plan.js';
import { naiveFacts } from '../picture/kernel/naive-picture.js';

const SDR: Colour = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'narrow' };
const PQ: Colour = { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc', range: 'narrow' };

function planOf(pixelFormat: string, width: number, height: number, colour = SDR): PicturePlan {
  const facts = naiveFacts({ width, height, colour } as Parameters<typeof naiveFacts>[0], pixelFormat);
  const plan = picturePlan(facts, colour);
  if ('unknown' in plan) throw new Error(plan.unknown);
  return plan;
}

describe('memory of a part', () => {
  it.each([
    ['yuv422p10le', 3840, 2160, SDR],
    ['yuv444p16le', 3840, 2160, PQ],
    ['yuv420p', 1920, 1080, SDR],
    ['gbrap16le', 1920, 1080, { ...PQ, matrix: 'gbr' }],
    ['gray', 720, 576, SDR],
    ['yuv444p16le', 320, 180, PQ],
  ] as const)('holds the memory a kernel really takes: %s %i x %i', (format, width, height, colour) => {
    const plan = planOf(format, width, height, colour);
    const kernel = new WasmKernel(plan, kernelModule());
    const taken = kernel.slots[0]?.buffer.byteLength ?? 0;
    expect(taken).toBeGreaterThan(3 * plan.geometry.frameBytes);
    expect(partBytes(plan)).toBeGreaterThan(taken);
    // Not so much more that parts are forgone for nothing: the two threads, and a byte a pixel.
    expect(partBytes(plan)).toBeLessThan(taken + 26e6 + width * height);
  });

  // Frames of 3840 x 2160 at 10 bits 4:2:2 have 33.2 MB, and three of them lie in a kernel; at 16 bits 4:4:4
  // they have 49.8 MB.
  it.each([
    ['yuv422p10le', 3840, 2160, 2],
    ['yuv444p16le', 3840, 2160, 1],
    ['yuv422p10le', 7680, 4320, 1],
    ['yuv420p', 1920, 1080, 6],
    ['yuv422p10le', 1920, 1080, 5],
  ] as const)('%s %i x %i: so many at once', (format, width, height, parts) => {
    expect(partsInMemory(planOf(format, width, height))).toBe(parts);
  });

  it('one more part would have no room beside the program, and all that are allowed have', () => {
    for (const size of [180, 360, 720, 1080, 1440, 2160]) {
      const plan = planOf('yuv422p10le', (size * 16) / 9, size);
      const parts = partsInMemory(plan);
      // A program of Node with its libraries takes 100 MB and more.
      expect(parts * partBytes(plan)).toBeLessThanOrEqual(MOST_BYTES - 100e6);
      expect((parts + 1) * partBytes(plan)).toBeGreaterThan(MOST_BYTES - 150e6);
    }
  });
});
