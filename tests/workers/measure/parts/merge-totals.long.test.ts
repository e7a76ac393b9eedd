import { describe, expect, it } from 'vitest';
import type { Colour } from '../../../../jobs/manifest/colour.js';
import { rational } from '../../../../signal/rational.js';
import { mergeTotals } from '../../../../workers/measure/parts/merge-totals.js';
import { rangesBetween, splitFrames } from '../../../../workers/measure/parts/part-ranges.js';
import { kernelModule } from '../../../../workers/measure/picture/kernel/kernel-module.js';
import { WasmKernel } from '../../../../workers/measure/picture/kernel/wasm-kernel.js';
import { type PicturePlan, picturePlan } from '../../../../workers/measure/picture/plan/picture-plan.js';
import { PictureRecorder } from '../../../../workers/measure/picture/recording/picture-recorder.js';
import type { PictureTotals } from '../../../../workers/measure/picture/recording/picture-totals.js';
import { frameStudies } from '../../../../workers/measure/picture/recording/studies.js';
import { naiveFacts } from '../picture/kernel/naive-picture.js';
import { PROGRAMME_FRAMES, programmeFrame } from './programme.js';

const WIDTH = 72;
const HEIGHT = 64;
/** Slow, so that a second (and with it what the screening for flashes remembers) is a few frames. */
const RATE = rational(5, 1);
const module = kernelModule();

const FRAMES = Array.from({ length: PROGRAMME_FRAMES }, (_, frame) =>
  Uint8Array.from(new Uint8Array(Uint16Array.from(programmeFrame(frame, WIDTH, HEIGHT).flat()).buffer)),
);

interface Kind {
  readonly what: string;
  readonly pixelFormat: string;
  readonly colour: Colour;
  readonly interlaced: boolean;
}

const SDR: Colour = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'narrow' };
const PQ: Colour = { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc', range: 'narrow' };
const KINDS: readonly Kind[] = [
  { what: 'PQ', pixelFormat: 'yuv422p10le', colour: PQ, interlaced: false },
  { what: 'interlaced SDR', pixelFormat: 'yuv422p10le', colour: SDR, interlaced: true },
  { what: 'HLG', pixelFormat: 'yuv422p10le', colour: { ...PQ, transfer: 'arib-std-b67' }, interlaced: false },
  {
    what: 'a camera log curve',
    pixelFormat: 'yuv422p10le',
    colour: { ...SDR, transfer: 'S-Log3', primaries: 'S-Gamut3.Cine' },
    interlaced: false,
  },
  // The same samples, taken for a grey picture and for R'G'B' of less height.
  { what: 'grey', pixelFormat: 'gray10le', colour: SDR, interlaced: false },
  {
    what: 'R′G′B′',
    pixelFormat: 'gbrp10le',
    colour: { ...PQ, matrix: 'gbr', range: 'full' },
    interlaced: false,
  },
];

function planOf({ pixelFormat, colour, interlaced }: Kind): PicturePlan {
  const height = pixelFormat === 'gbrp10le' ? 40 : HEIGHT;
  const facts = naiveFacts(
    { width: WIDTH, height, depth: 10, model: 'ycbcr', shiftX: 0, shiftY: 0, colour, interlaced, planes: [] },
    pixelFormat,
  );
  const plan = picturePlan(facts, colour);
  if ('unknown' in plan) throw new Error(plan.unknown);
  return plan;
}

/** Frames `[from, to)`, after `lead` frames before them that are only looked at. */
function measure(plan: PicturePlan, from: number, to: number, lead: number): PictureTotals {
  const first = from - lead;
  const recorder = new PictureRecorder(plan, new WasmKernel(plan, module), RATE, first);
  for (let frame = first; frame < to; frame++) {
    const index = frame - first;
    const slot = recorder.slots[index % recorder.slots.length];
    slot?.set((FRAMES[frame] ?? new Uint8Array(0)).subarray(0, slot.length));
    if (index < lead) recorder.lookAt(index);
    else recorder.measure(index);
  }
  return recorder.finish();
}

function memoryOf(plan: PicturePlan): number {
  return Math.max(...frameStudies(plan, RATE).map(({ study }) => study.memory)) + 1;
}

/** Paths of everything that is not the same to the last bit. */
function differences(a: unknown, b: unknown, path = ''): string[] {
  if (a instanceof Float64Array && b instanceof Float64Array) {
    if (a.length !== b.length) return [`${path}.length`];
    const at = a.findIndex((value, i) => !Object.is(value, b[i]));
    return at < 0 ? [] : [`${path}[${at}]: ${a[at]} and ${b[at]}`];
  }
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) {
    return Object.is(a, b) ? [] : [`${path}: ${a} and ${b}`];
  }
  const [left, right] = [Object.entries(a), new Map<string, unknown>(Object.entries(b))];
  if (left.length !== right.size) return [`${path}: other keys`];
  return left.flatMap(([key, value]) => differences(value, right.get(key), `${path}.${key}`));
}

describe('totals of parts', () => {
  it.each(KINDS)('$what: merged they equal those of the whole, wherever the seam is', (kind) => {
    const step = kind === KINDS[0] || kind === KINDS[1] ? 1 : 3;
    const plan = planOf(kind);
    const memory = memoryOf(plan);
    const whole = measure(plan, 0, PROGRAMME_FRAMES, 0);
    expect(whole.frames).toBe(PROGRAMME_FRAMES);
    for (let seam = 1; seam < PROGRAMME_FRAMES; seam += step) {
      const parts = rangesBetween([0, seam, PROGRAMME_FRAMES], memory).map(({ from, to, lead }) =>
        measure(plan, from, to, lead),
      );
      expect(differences(mergeTotals(parts), whole), `seam at ${seam}`).toEqual([]);
    }
  });

  it.each([2, 3, 7, PROGRAMME_FRAMES])('%i parts of one length', (count) => {
    const plan = planOf({ what: '', pixelFormat: 'yuv422p10le', colour: PQ, interlaced: true });
    const parts = splitFrames(PROGRAMME_FRAMES, count, memoryOf(plan));
    const totals = mergeTotals(parts.map(({ from, to, lead }) => measure(plan, from, to, lead)));
    expect(differences(totals, measure(plan, 0, PROGRAMME_FRAMES, 0))).toEqual([]);
  });

  it('of a programme that flashes, in white and in red', () => {
    const { studies } = measure(
      planOf({ what: '', pixelFormat: 'yuv422p10le', colour: SDR, interlaced: false }),
      0,
      60,
      0,
    );
    expect(Math.max(...(studies['flashes']?.['flashChanges'] ?? []))).toBeGreaterThanOrEqual(4);
    expect(Math.max(...(studies['flashes']?.['redUp'] ?? []))).toBeGreaterThan(0.25);
  });

  it('differ when the frames before a part were not read: the studies need their memory', () => {
    const plan = planOf({ what: '', pixelFormat: 'yuv422p10le', colour: SDR, interlaced: true });
    const whole = measure(plan, 0, PROGRAMME_FRAMES, 0);
    for (const lead of [0, 1, 11]) {
      const parts = rangesBetween([0, 30, PROGRAMME_FRAMES], lead).map((range) =>
        measure(plan, range.from, range.to, range.lead),
      );
      expect(differences(mergeTotals(parts), whole), `lead ${lead}`).not.toEqual([]);
    }
  });

  it('cannot be merged where they are not of one picture', () => {
    const [pq, sdr, rgb] = [KINDS[0], KINDS[1], KINDS[5]].map((kind) => {
      if (!kind) throw new Error('no such kind');
      return measure(planOf(kind), 0, 2, 0);
    });
    if (!pq || !sdr || !rgb) throw new Error('not measured');
    expect(() => mergeTotals([pq, sdr])).toThrow(/bins/);
    expect(() => mergeTotals([pq, rgb])).toThrow(/size/);
    expect(() => mergeTotals([pq, { ...pq, sums: { another: new Float64Array(1) } }])).toThrow(/studies/);
    expect(() => mergeTotals([])).toThrow(/no parts/);
  });
});

describe('ranges', () => {
  it.each([
    [
      10,
      2,
      4,
      [
        [0, 5, 0],
        [5, 10, 4],
      ],
    ],
    [
      3,
      2,
      76,
      [
        [0, 2, 0],
        [2, 3, 2],
      ],
    ],
    [
      7,
      3,
      1,
      [
        [0, 2, 0],
        [2, 5, 1],
        [5, 7, 1],
      ],
    ],
  ])('%i frames in %i parts with a memory of %i', (frames, parts, memory, expected) => {
    expect(splitFrames(frames, parts, memory).map(({ from, to, lead }) => [from, to, lead])).toEqual(
      expected,
    );
  });
});
