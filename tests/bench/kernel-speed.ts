import type { Colour } from '../../jobs/manifest/colour.js';
import { kernelModule } from '../../workers/measure/picture/kernel/kernel-module.js';
import type { PictureKernel } from '../../workers/measure/picture/kernel/picture-kernel.js';
import { WasmKernel } from '../../workers/measure/picture/kernel/wasm-kernel.js';
import { type PicturePlan, picturePlan } from '../../workers/measure/picture/plan/picture-plan.js';
import { ScalarKernel } from '../oracle/scalar-kernel.js';
import { naiveFacts } from '../workers/measure/picture/kernel/naive-picture.js';

/** Pictures as a kernel meets them. */
export interface Pictures {
  readonly title: string;
  readonly pixelFormat: string;
  readonly width: number;
  readonly height: number;
  readonly colour: Colour;
}

export const SDR: Colour = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'narrow' };
export const PQ: Colour = { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc', range: 'narrow' };
const HLG: Colour = { ...PQ, transfer: 'arib-std-b67' };

const CASES: readonly Pictures[] = [
  { title: 'UHD 4:2:2 10-bit SDR', pixelFormat: 'yuv422p10le', width: 3840, height: 2160, colour: SDR },
  { title: 'UHD 4:2:2 10-bit PQ', pixelFormat: 'yuv422p10le', width: 3840, height: 2160, colour: PQ },
  { title: 'UHD 4:2:2 10-bit HLG', pixelFormat: 'yuv422p10le', width: 3840, height: 2160, colour: HLG },
  { title: 'HD 4:2:0 8-bit SDR', pixelFormat: 'yuv420p', width: 1920, height: 1080, colour: SDR },
  { title: 'HD 4:4:4 12-bit SDR', pixelFormat: 'yuv444p12le', width: 1920, height: 1080, colour: SDR },
  { title: 'HD R′G′B′ 12-bit SDR', pixelFormat: 'gbrp12le', width: 1920, height: 1080, colour: SDR },
];

/** A picture with smooth tone, edges and sensor-like noise; deterministic. */
export function fill(slot: Uint8Array, plan: PicturePlan, seed: number): void {
  const { layout, geometry, scale } = plan;
  const wide = layout.bytesPerSample === 2;
  const codes = wide ? new Uint16Array(slot.buffer, slot.byteOffset, slot.length / 2) : slot;
  const code = 2 ** layout.depth / 1024;
  let state = seed;
  const noise = (): number => {
    state = (Math.imul(state, 1664525) + 1013904223) | 0;
    return ((state >>> 16) & 1023) / 1023 - 0.5;
  };
  let at = 0;
  const plane = (width: number, height: number, centre: number, swing: number): void => {
    for (let y = 0; y < height; y++) {
      for (let x = 0; x < width; x++) {
        const tone = Math.sin((x * 7 + seed) / width) * Math.cos((y * 5) / height);
        const edge = ((x >> 6) + (y >> 5)) & 1 ? 0.15 : -0.15;
        const value = (centre + swing * (tone + edge) * 0.8 + noise() * 16) * code;
        codes[at++] = Math.max(0, Math.min(scale.topCode, Math.round(value)));
      }
    }
  };
  const rgb = layout.model === 'rgb';
  plane(geometry.width, geometry.height, 480, 380);
  plane(geometry.chromaWidth, geometry.chromaHeight, rgb ? 470 : 512, rgb ? 370 : 60);
  plane(geometry.chromaWidth, geometry.chromaHeight, rgb ? 490 : 512, rgb ? 360 : 60);
}

function megapixels(kernel: PictureKernel, plan: PicturePlan, seconds: number): number {
  kernel.slots.forEach((slot, index) => {
    fill(slot, plan, 17 + index);
  });
  const pixels = plan.geometry.lumaSamples;
  // The first frames teach the compiler.
  let frame = 0;
  for (; frame < 3; frame++) kernel.measure(frame);
  // Time on the processor, not on the wall: other programs may share the machine.
  const began = process.cpuUsage();
  let frames = 0;
  let used = 0;
  while (used < seconds * 1e6) {
    kernel.measure(frame++);
    frames++;
    const { user, system } = process.cpuUsage(began);
    used = user + system;
  }
  return (frames * pixels) / used;
}

/** Speed of the kernels alone, on one thread: pixels a second and the ratio between the two. */
export function* kernelSpeedLines(): Generator<string> {
  const module = kernelModule();
  yield 'measuring kernels, one thread, every measurement on (Mpixel/s)';
  for (const { title, pixelFormat, width, height, colour } of CASES) {
    const facts = naiveFacts({ width, height } as Parameters<typeof naiveFacts>[0], pixelFormat);
    const plan = picturePlan(facts, colour);
    if ('unknown' in plan) throw new Error(plan.unknown);
    const wasm = megapixels(new WasmKernel(plan, module), plan, 2);
    const scalar = megapixels(new ScalarKernel(plan), plan, 2);
    yield `  ${title.padEnd(22)} WebAssembly ${wasm.toFixed(0).padStart(5)}   scalar ${scalar.toFixed(1).padStart(6)}   ratio ${(wasm / scalar).toFixed(1)}`;
  }
}
