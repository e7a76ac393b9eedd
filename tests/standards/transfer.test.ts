import { describe, expect, test } from 'vitest';
import { decodeLuma, encodeLuma } from '../../signal/quantise.js';
import { BT709_OETF } from '../../signal/transfer/bt709.js';
import { bt1886Eotf } from '../../signal/transfer/bt1886.js';
import { HLG } from '../../signal/transfer/hlg.js';
import { PQ } from '../../signal/transfer/pq.js';
import { SRGB } from '../../signal/transfer/srgb.js';
import published from './data/published-values.json' with { type: 'json' };

/** Codes in these tables must be met exactly. */
const code = (signal: number, depth: number, range: 'narrow' | 'full'): number =>
  encodeLuma(signal, depth, range);

describe('PQ: ST 2084:2014, BT.2100-3 Table 4 (formula and constants seen; cells computed from them by others)', () => {
  test.each(published.A.pq.rows)('$nits cd/m2', (row) => {
    const signal = PQ.inverseEotf(row.nits);
    expect(Math.abs(signal - row.signal)).toBeLessThanOrEqual(published.A.pq.tolerance_signal);
    expect(code(signal, 8, 'narrow')).toBe(row.narrow8);
    expect(code(signal, 10, 'narrow')).toBe(row.narrow10);
    expect(code(signal, 12, 'narrow')).toBe(row.narrow12);
    expect(code(signal, 10, 'full')).toBe(row.full10);
    expect(code(signal, 12, 'full')).toBe(row.full12);
    expect(Math.abs(PQ.eotf(signal) - row.nits)).toBeLessThanOrEqual(1e-4 * row.nits);
  });

  test.each(published.A.pq.decode_narrow10)(
    '10-bit narrow code $narrow10 is $nits cd/m2',
    ({ narrow10, nits }) => {
      const error = Math.abs(PQ.eotf(decodeLuma(narrow10, 10, 'narrow')) - nits);
      // 0.01 %, and half the last printed digit near black.
      expect(error).toBeLessThanOrEqual(Math.max(1e-4 * nits, 5e-5));
    },
  );

  test('reference white of 203 cd/m2 is 58 %, code 573 narrow and 594 full (BT.2408-8 Table 1; BT.2111-3)', () => {
    expect(Math.round(100 * PQ.inverseEotf(203))).toBe(58);
    expect(code(PQ.inverseEotf(203), 10, 'narrow')).toBe(573);
    expect(code(PQ.inverseEotf(203), 10, 'full')).toBe(594);
  });

  test('is limited to 0..10,000 cd/m2 on both sides', () => {
    expect([PQ.eotf(-0.1), PQ.eotf(1), PQ.eotf(1.09)]).toEqual([0, 10_000, 10_000]);
    expect([PQ.inverseEotf(-5), PQ.inverseEotf(20_000)]).toEqual([PQ.inverseEotf(0), 1]);
  });
});

describe('HLG OETF: BT.2100-3 Table 5 (seen)', () => {
  test.each(published.A.hlg.oetf)('scene light $scene', ({ scene, signal, narrow10 }) => {
    expect(Math.abs(HLG.oetf(scene) - signal)).toBeLessThanOrEqual(1e-6);
    expect(code(HLG.oetf(scene), 10, 'narrow')).toBe(narrow10);
  });

  test.each(published.A.hlg.inverse)('signal $signal', ({ signal, scene }) => {
    expect(Math.abs(HLG.inverseOetf(signal) - scene)).toBeLessThanOrEqual(1e-6);
  });

  test('negative light is mirrored', () => {
    expect(HLG.oetf(-0.05)).toBe(-HLG.oetf(0.05));
    expect(HLG.inverseOetf(-0.7)).toBe(-HLG.inverseOetf(0.7));
  });
});

describe('BT.709-6 item 1.2 (seen)', () => {
  test.each(published.A.bt709_oetf)('light $L', ({ L, V }) => {
    expect(Math.abs(BT709_OETF.oetf(L) - V)).toBeLessThanOrEqual(1e-7);
  });

  test('18 % grey is code 106 at 8 bits and 422 at 10', () => {
    expect(code(BT709_OETF.oetf(0.18), 8, 'narrow')).toBe(106);
    expect(code(BT709_OETF.oetf(0.18), 10, 'narrow')).toBe(422);
  });

  test('below the break the slope is 4.5, and negative light is mirrored (IEC 61966-2-4)', () => {
    expect(BT709_OETF.oetf(0.01)).toBeCloseTo(0.045, 12);
    expect(BT709_OETF.oetf(-0.18)).toBe(-BT709_OETF.oetf(0.18));
  });
});

describe('sRGB (IEC 61966-2-1, from memory)', () => {
  test('the toe is 12.92 up to signal 0.04045, and negative values are mirrored', () => {
    expect(SRGB.eotf(0.04)).toBeCloseTo(0.04 / 12.92, 12);
    expect(SRGB.inverseEotf(0.0031308)).toBeCloseTo(0.04045, 6);
    expect(SRGB.eotf(-0.5)).toBe(-SRGB.eotf(0.5));
    expect(SRGB.inverseEotf(-0.2)).toBe(-SRGB.inverseEotf(0.2));
  });
});

describe('BT.1886 Annex 1 (seen)', () => {
  // White 100 cd/m2, black 0: computed from the formula.
  test.each([
    [0.1, 0.39811],
    [0.25, 3.58968],
    [0.5, 18.94646],
    [0.75, 50.13569],
    [1, 100],
  ])('signal %f on a display of 100 cd/m2 and black 0 is %f cd/m2', (signal, nits) => {
    const { eotf, inverseEotf } = bt1886Eotf({ white: 100, black: 0 });
    expect(eotf(signal)).toBeCloseTo(nits, 5);
    expect(inverseEotf(nits)).toBeCloseTo(signal, 6);
  });

  // BT.1702-3 Annex 2 Table 1 prints 20.1 and 160.4 cd/m2 for these codes on a display of 200 cd/m2 (seen).
  test.each([
    [400, 20.1],
    [863, 160.4],
  ])('10-bit code %i on a display of 200 cd/m2 is %f cd/m2', (codeValue, nits) => {
    const light = bt1886Eotf({ white: 200, black: 0 }).eotf(decodeLuma(codeValue, 10, 'narrow'));
    expect(Math.abs(light - nits)).toBeLessThanOrEqual(0.05);
  });

  test('with a black level, signal 0 and 1 are black and white, and super-black ends at 0', () => {
    const { eotf, inverseEotf } = bt1886Eotf({ white: 100, black: 0.1 });
    expect(eotf(0)).toBeCloseTo(0.1, 12);
    expect(eotf(1)).toBeCloseTo(100, 10);
    expect(inverseEotf(0.1)).toBeCloseTo(0, 12);
    // b = Lb^(1/2.4) / (Lw^(1/2.4) - Lb^(1/2.4)) is the signal below 0 at which light ends.
    const b = 0.1 ** (1 / 2.4) / (100 ** (1 / 2.4) - 0.1 ** (1 / 2.4));
    expect(eotf(-b)).toBeCloseTo(0, 12);
    expect(eotf(-b - 0.1)).toBe(0);
    expect(eotf(-b / 2)).toBeGreaterThan(0);
  });

  test.each([
    { white: 0, black: 0 },
    { white: 100, black: 100 },
    { white: 100, black: -1 },
    { white: Number.NaN, black: 0 },
    { white: Number.POSITIVE_INFINITY, black: 0 },
  ])('refuses a display of white $white and black $black', (display) => {
    expect(() => bt1886Eotf(display)).toThrow(RangeError);
    expect(() => bt1886Eotf(display)).toThrow(`white ${display.white} and black ${display.black}`);
  });
});
