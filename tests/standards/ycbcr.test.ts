import { describe, expect, test } from 'vitest';
import type { Vector3 } from '../../signal/matrix3.js';
import { decodeLuma, encodeChroma, encodeLuma } from '../../signal/quantise.js';
import { lumaCoefficients, rgbToYcbcr, type YcbcrMatrixName, ycbcrToRgb } from '../../signal/ycbcr.js';

const MATRICES: readonly YcbcrMatrixName[] = ['bt709', 'bt2020nc', 'smpte170m', 'bt470bg'];

function codes([r, g, b]: Vector3, matrix: YcbcrMatrixName): number[] {
  const signal = (code: number): number => decodeLuma(code, 10, 'narrow');
  const [y, cb, cr] = rgbToYcbcr([signal(r), signal(g), signal(b)], matrix);
  return [encodeLuma(y, 10, 'narrow'), encodeChroma(cb, 10, 'narrow'), encodeChroma(cr, 10, 'narrow')];
}

/**
 * RP 219-1 bars: R'G'B' codes seen; 100 % red and blue in Y'CbCr printed in EBU Tech 3325 Table 6 (seen), the
 * others worked from BT.709 by others. Tolerance 1 code.
 */
describe('colour bars in BT.709', () => {
  test.each<[string, Vector3, number[]]>([
    ['75 % white', [721, 721, 721], [721, 512, 512]],
    ['75 % yellow', [721, 721, 64], [674, 176, 543]],
    ['75 % cyan', [64, 721, 721], [581, 589, 176]],
    ['75 % green', [64, 721, 64], [534, 253, 207]],
    ['75 % magenta', [721, 64, 721], [251, 771, 817]],
    ['75 % red', [721, 64, 64], [204, 435, 848]],
    ['75 % blue', [64, 64, 721], [111, 848, 481]],
    ['100 % red', [940, 64, 64], [250, 409, 960]],
    ['100 % blue', [64, 64, 940], [127, 960, 471]],
  ])('%s', (_name, rgb, wanted) => {
    for (const [plane, code] of codes(rgb, 'bt709').entries()) {
      expect(Math.abs(code - (wanted[plane] ?? Number.NaN))).toBeLessThanOrEqual(1);
    }
  });
});

test('divisors are those the standards print: 1.8556, 1.5748; 1.8814, 1.4746; 1.772, 1.402', () => {
  for (const [matrix, cbDivisor, crDivisor] of [
    ['bt709', 1.8556, 1.5748],
    ['bt2020nc', 1.8814, 1.4746],
    ['smpte170m', 1.772, 1.402],
    ['bt470bg', 1.772, 1.402],
  ] as const) {
    const { kr, kg, kb } = lumaCoefficients(matrix);
    expect(kr + kg + kb).toBeCloseTo(1, 12);
    // Pure blue: Cb = (1 - Kb) / divisor.
    expect((1 - kb) / rgbToYcbcr([0, 0, 1], matrix)[1]).toBeCloseTo(cbDivisor, 12);
    expect((1 - kr) / rgbToYcbcr([1, 0, 0], matrix)[2]).toBeCloseTo(crDivisor, 12);
  }
});

test.each(MATRICES)('%s: greys have no chroma, extremes reach 0.5, everything comes back', (matrix) => {
  for (const grey of [-0.1, 0, 0.4, 1, 1.1]) {
    const [y, cb, cr] = rgbToYcbcr([grey, grey, grey], matrix);
    expect(y).toBeCloseTo(grey, 12);
    expect(cb).toBeCloseTo(0, 12);
    expect(cr).toBeCloseTo(0, 12);
  }
  expect(rgbToYcbcr([0, 0, 1], matrix)[1]).toBeCloseTo(0.5, 12);
  expect(rgbToYcbcr([0, 1, 1], matrix)[2]).toBeCloseTo(-0.5, 12);
  for (const rgb of [
    [1, 0, 0],
    [0.2, 0.9, 0.4],
    [-0.1, 1.2, 0.5],
  ] as const) {
    const back = ycbcrToRgb(rgbToYcbcr(rgb, matrix), matrix);
    for (const [channel, value] of rgb.entries()) expect(back[channel]).toBeCloseTo(value, 12);
  }
});

test('planes of RGB have no luma', () => {
  // @ts-expect-error: the compiler refuses it too
  expect(() => lumaCoefficients('gbr')).toThrow(/gbr planes have no luma/);
});
