import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { maxCode } from '../../signal/quantise.js';
import { percentileBin } from '../../workers/measure/picture/figures/percentile.js';
import { picturePlan } from '../../workers/measure/picture/plan/picture-plan.js';
import { PictureRecorder } from '../../workers/measure/picture/recording/picture-recorder.js';
import type { PictureTotals } from '../../workers/measure/picture/recording/picture-totals.js';
import {
  type NaiveFigures,
  type NaivePicture,
  naiveFacts,
  naiveFigures,
  packPlanes,
  pixelFormatName,
} from '../workers/measure/picture/kernel/naive-picture.js';
import { COLOURS, LAYOUTS, pictureOf } from '../workers/measure/picture/kernel/random-picture.js';
import { ScalarKernel } from './scalar-kernel.js';

/** Near black a table entry spans many times its light, but next to none in cd/m2. */
const NEAR_BLACK_NITS = 1e-3;

function measure(picture: NaivePicture): PictureTotals {
  const plan = picturePlan(naiveFacts(picture, pixelFormatName(picture)), picture.colour);
  if ('unknown' in plan) throw new Error(plan.unknown);
  const kernel = new ScalarKernel(plan);
  kernel.slots[0]?.set(packPlanes(picture));
  const recorder = new PictureRecorder(plan, kernel, null);
  recorder.measure(0);
  return recorder.finish();
}

function expectAlike(picture: NaivePicture, totals: PictureTotals, naive: NaiveFigures): void {
  const { columns } = totals;
  const tenBitCode = 2 ** (picture.depth - 10);
  expect(totals.frames).toBe(1);
  if (picture.model !== 'rgb') {
    expect(columns.lumaMin[0]).toBe(Math.min(...(picture.planes[0] ?? [])));
    expect(columns.lumaMax[0]).toBe(Math.max(...(picture.planes[0] ?? [])));
  }
  expect(Math.abs((columns.rgbMin[0] ?? Number.NaN) - naive.rgbMin)).toBeLessThan(1e-4 * tenBitCode);
  expect(Math.abs((columns.rgbMax[0] ?? Number.NaN) - naive.rgbMax)).toBeLessThan(1e-4 * tenBitCode);
  const [least, most] = naive.gamutArea;
  expect(columns.gamutArea[0]).toBeGreaterThanOrEqual(least);
  expect(columns.gamutArea[0]).toBeLessThanOrEqual(most);
  expectHistograms(picture, totals, naive);
  expectLight(totals, naive);
}

function expectHistograms(picture: NaivePicture, totals: PictureTotals, naive: NaiveFigures): void {
  const counted: readonly (Float64Array | null)[] =
    picture.model === 'rgb' ? [] : [totals.luma, totals.cb, totals.cr];
  counted.forEach((histogram, plane) => {
    const expected = new Float64Array(maxCode(picture.depth) + 1);
    for (const code of picture.planes[plane] ?? []) expected[code] = (expected[code] ?? 0) + 1;
    // Element by element: the matcher takes seconds on arrays of this size.
    const differs = histogram?.some((count, code) => count !== expected[code]) ?? false;
    expect(differs).toBe(false);
  });
  const { rgb } = totals;
  if (!rgb) throw new Error('no R′G′B′ histograms');
  [rgb.red, rgb.green, rgb.blue].forEach((histogram, channel) => {
    // Values within a hair of half a code may be counted at either neighbour; with shared chroma within the
    // 0.75 of a short step, 2^-14 of full scale, that their sums may be off.
    const short = picture.shiftX === 1 && picture.depth <= 12;
    const hair = 1e-3 + (short ? 0.75 * 2 ** (picture.depth - 14) : 0);
    let unsure = 0;
    const expected = new Float64Array(histogram.length);
    const across = picture.model === 'ycbcr' ? 2 ** picture.shiftX : 1;
    const counted = naive.rgb.filter(
      (_, i) =>
        picture.model === 'rgb' ||
        (Math.floor(i / picture.width) % 8 < 2 && (i % picture.width) % across === 0),
    );
    for (const pixel of counted) {
      const position = ((pixel[channel] ?? 0) + 0.5 - rgb.firstCode) / rgb.codesPerBin;
      const bin = Math.floor(position);
      if (Math.abs(position - Math.round(position)) < hair) unsure++;
      expected[bin] = (expected[bin] ?? 0) + 1;
    }
    let misplaced = 0;
    histogram.forEach((count, bin) => {
      misplaced += Math.abs(count - (expected[bin] ?? 0));
    });
    expect(misplaced / 2).toBeLessThanOrEqual(unsure);
  });
}

function expectLight(totals: PictureTotals, naive: NaiveFigures): void {
  const { columns } = totals;
  if (naive.light.length === 0) {
    expect(columns.lightMax[0]).toBeNaN();
    return;
  }
  const max = Math.max(...naive.light);
  const average = naive.light.reduce((a, b) => a + b, 0) / naive.light.length;
  expect(columns.lightMax[0]).toBeGreaterThanOrEqual(max * (1 - 2e-4) - NEAR_BLACK_NITS);
  expect(columns.lightMax[0]).toBeLessThanOrEqual(max * (1 + 1e-6) + 1e-6);
  expect(Math.abs((columns.lightAverage[0] ?? Number.NaN) - average)).toBeLessThan(
    average * 1e-3 + NEAR_BLACK_NITS,
  );
  if (!Number.isNaN(naive.p3Area[0])) {
    expect(columns.p3Area[0]).toBeGreaterThanOrEqual(naive.p3Area[0]);
    expect(columns.p3Area[0]).toBeLessThanOrEqual(naive.p3Area[1]);
  }
}

describe('the scalar kernel against a naive double-precision measurement', () => {
  it.each(LAYOUTS)('random pictures, $model with chroma shifts $shiftX, $shiftY', (layout) => {
    fc.assert(
      fc.property(
        fc.record({
          width: fc.integer({ min: 1, max: 23 }),
          height: fc.integer({ min: 1, max: 13 }),
          depth: fc.constantFrom(8, 10, 12, 16),
          wild: fc.boolean(),
          interlaced: fc.boolean(),
        }),
        fc.constantFrom(...COLOURS),
        fc.infiniteStream(fc.double({ min: 0, max: 1, noNaN: true })),
        (shape, colour, stream) => {
          const take = (count: number): number[] =>
            Array.from({ length: count }, () => stream.next().value ?? 0);
          const picture = pictureOf(shape, layout, colour, take);
          expectAlike(picture, measure(picture), naiveFigures(picture));
        },
      ),
      { numRuns: 40 },
    );
  });

  it('adds up frames: histograms sum, columns follow one another', () => {
    const picture = pictureOf(
      { width: 9, height: 5, depth: 10, wild: true, interlaced: false },
      LAYOUTS[1],
      { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc', range: 'narrow' },
      (count) => Array.from({ length: count }, (_, i) => ((i * 7919) % 1024) / 1024),
    );
    const plan = picturePlan(naiveFacts(picture, 'yuv422p10le'), picture.colour);
    if ('unknown' in plan) throw new Error(plan.unknown);
    const kernel = new ScalarKernel(plan);
    const recorder = new PictureRecorder(plan, kernel, null);
    const frames = 3000;
    const packed = packPlanes(picture);
    for (const slot of kernel.slots) slot.set(packed);
    for (let i = 0; i < frames; i++) recorder.measure(i);
    const totals = recorder.finish();
    const one = measure(picture);
    expect(totals.frames).toBe(frames);
    expect(totals.luma).toEqual(one.luma?.map((count) => count * frames));
    expect(totals.light).toEqual(one.light?.map((count) => count * frames));
    expect(totals.rgb?.red).toEqual(one.rgb?.red.map((count) => count * frames));
    expect(new Set(totals.columns.lightAverage)).toEqual(new Set(one.columns.lightAverage));
    expect(percentileBin(totals.light ?? new Float64Array(0), 0.9999)).toBe(
      percentileBin(one.light ?? new Float64Array(0), 0.9999),
    );
  });
});
