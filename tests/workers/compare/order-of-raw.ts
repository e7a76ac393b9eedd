import { readFileSync } from 'node:fs';
import type { Colour } from '../../../jobs/manifest/colour.js';
import { kernelModule } from '../../../workers/measure/picture/kernel/kernel-module.js';
import { WasmKernel } from '../../../workers/measure/picture/kernel/wasm-kernel.js';
import { picturePlan } from '../../../workers/measure/picture/plan/picture-plan.js';
import { PictureRecorder } from '../../../workers/measure/picture/recording/picture-recorder.js';
import { SIGNATURE } from '../../../workers/measure/picture/recording/studies.js';
import {
  type Signatures,
  unpackSignatures,
} from '../../../workers/measure/picture/signature/packed-signature.js';
import { naiveFacts } from '../measure/picture/kernel/naive-picture.js';

const module = kernelModule();

/** A picture as raw frames lie in a file. */
export interface RawForm {
  readonly width: number;
  readonly height: number;
  readonly pixelFormat: string;
}

/** Signatures of raw frames, by the kernel and the study that a measurement runs. */
export function signaturesOf(path: string, { width, height, pixelFormat }: RawForm): Signatures {
  const rgb = pixelFormat.startsWith('gbr');
  const range = rgb ? ('full' as const) : ('narrow' as const);
  const colour: Colour = { primaries: 'bt709', transfer: 'bt709', matrix: rgb ? 'gbr' : 'bt709', range };
  const of = { width, height, depth: 8, shiftX: 0, shiftY: 0, colour, interlaced: false, planes: [] };
  const plan = picturePlan(naiveFacts({ ...of, model: rgb ? 'rgb' : 'ycbcr' }, pixelFormat), colour);
  if ('unknown' in plan) throw new Error(plan.unknown);
  const recorder = new PictureRecorder(plan, new WasmKernel(plan, module), { num: 25, den: 1 });
  const bytes = readFileSync(path);
  const { frameBytes } = plan.geometry;
  for (let frame = 0; (frame + 1) * frameBytes <= bytes.length; frame++) {
    const slot = recorder.slots[frame % recorder.slots.length];
    slot?.set(bytes.subarray(frame * frameBytes, (frame + 1) * frameBytes));
    recorder.measure(frame);
  }
  const columns = recorder.finish().studies[SIGNATURE];
  if (columns === undefined) throw new Error('no signatures');
  return unpackSignatures(columns);
}
