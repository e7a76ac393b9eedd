import { describe, expect, test } from 'vitest';
import type { Vector3 } from '../../signal/matrix3.js';
import { decodeLuma } from '../../signal/quantise.js';
import {
  hlgBlackLift,
  hlgEotf,
  hlgInverseEotf,
  hlgInverseOotf,
  hlgOotf,
  hlgSystemGamma,
} from '../../signal/transfer/hlg-ootf.js';
import published from './data/published-values.json' with { type: 'json' };

const grey = (value: number): Vector3 => [value, value, value];

describe('system gamma and 75 % level: EBU R 167 presets, Table 1.1 (seen)', () => {
  test.each(published.A.hlg.presets_R167)('display of $Lw cd/m2', ({ Lw, gamma, nits75, tol_nits }) => {
    expect(Math.abs(hlgSystemGamma(Lw) - gamma)).toBeLessThanOrEqual(0.005);
    expect(Math.abs(hlgEotf(grey(0.75), { peak: Lw, black: 0 })[1] - nits75)).toBeLessThanOrEqual(tol_nits);
  });

  test('the plain formula holds for 400 to 2,000 cd/m2 and the extended one outside (BT.2100-3 note 5f)', () => {
    // By hand: 1.2 + 0.42 log10(0.4) and (2); 1.2 * 1.111^log2(0.399) and (2.001).
    expect(hlgSystemGamma(400)).toBeCloseTo(1.0328652, 7);
    expect(hlgSystemGamma(2000)).toBeCloseTo(1.3264326, 7);
    expect(hlgSystemGamma(399)).toBeCloseTo(1.2 * Math.exp(Math.log(1.111) * Math.log2(0.399)), 12);
    expect(hlgSystemGamma(2001)).toBeCloseTo(1.2 * Math.exp(Math.log(1.111) * Math.log2(2.001)), 12);
  });

  test('codes above nominal peak: 1019 on 1,000 cd/m2 is 1,811 cd/m2 (R 167)', () => {
    const light = hlgEotf(grey(decodeLuma(1019, 10, 'narrow')))[0];
    expect(Math.abs(light - 1811)).toBeLessThanOrEqual(1);
  });
});

describe('signal to light on the reference display (BT.2100-3 Table 5, 1,000 cd/m2, black 0)', () => {
  test.each(published.A.hlg.inverse)('signal $signal is $nits_1000 cd/m2', ({ signal, nits_1000 }) => {
    const [r, g, b] = hlgEotf(grey(signal));
    expect(Math.abs(g - nits_1000)).toBeLessThanOrEqual(1e-4 * Math.max(nits_1000, 1));
    expect(r).toBe(g);
    expect(b).toBe(g);
  });

  // BT.2408-8 Table 1 (seen): percent HLG and cd/m2, both printed without decimals; tolerance half a percent
  // of signal.
  test.each([
    ['18 % grey card', 26, 38],
    ['greyscale, 83 %', 162, 71],
    ['greyscale, 90 %', 179, 73],
    ['reference white', 203, 75],
  ])('BT.2408-8: %s, %i cd/m2, %i %%', (_item, nits, percent) => {
    expect(Math.abs(100 * hlgInverseEotf(grey(nits))[0] - percent)).toBeLessThanOrEqual(0.5);
  });
});

describe('one OOTF for all channels, from luminance', () => {
  test('a saturated colour keeps its ratios and is scaled by its luminance', () => {
    const scene: Vector3 = [0.5, 0.1, 0.02];
    // BT.2100-3 Table 5: Y = 0.2627 R + 0.6780 G + 0.0593 B, F = 1000 Y^0.2 E.
    const luminance = 0.2627 * 0.5 + 0.678 * 0.1 + 0.0593 * 0.02;
    const factor = 1000 * luminance ** 0.2;
    const [r, g, b] = hlgOotf(scene);
    expect(r).toBeCloseTo(0.5 * factor, 9);
    expect(g).toBeCloseTo(0.1 * factor, 9);
    expect(b).toBeCloseTo(0.02 * factor, 9);
  });

  test.each([400, 500, 1000, 2000, 4000, 10_000])('inverse OOTF undoes it at %i cd/m2', (peak) => {
    const display = { peak, black: 0.005 };
    for (const scene of [
      [0.9, 0.1, 0.3],
      [1e-4, 2e-5, 3e-5],
      [-0.01, 0.4, 0.2],
      [1, 1, 1],
    ] as const) {
      const back = hlgInverseOotf(hlgOotf(scene, display), display);
      for (const [channel, value] of back.entries()) {
        expect(Math.abs(value - (scene[channel] ?? Number.NaN))).toBeLessThan(1e-12);
      }
    }
    const [r, g, b] = hlgInverseEotf(hlgEotf([0.8, 0.3, 0.55], display), display);
    expect([r, g, b].map((value) => value.toFixed(10))).toEqual([
      '0.8000000000',
      '0.3000000000',
      '0.5500000000',
    ]);
  });

  test('black, and colours whose luminance is not above 0, show nothing', () => {
    expect(hlgOotf([0, 0, 0])).toEqual([0, 0, 0]);
    expect(hlgOotf([0, 0, 0], { peak: 200, black: 0 })).toEqual([0, 0, 0]);
    expect(hlgOotf([0.1, -0.5, 0.1])).toEqual([0, 0, 0]);
    expect(hlgInverseOotf([0, 0, 0])).toEqual([0, 0, 0]);
  });
});

describe('black lift (BT.2100-3 Table 5, EOTF)', () => {
  test('beta is sqrt(3 (Lb/Lw)^(1/gamma)), and signal 0 shows the black of the display', () => {
    const display = { peak: 1000, black: 0.05 };
    expect(hlgBlackLift(display)).toBeCloseTo(Math.sqrt(3 * (0.05 / 1000) ** (1 / 1.2)), 12);
    for (const channel of hlgEotf(grey(0), display)) expect(channel).toBeCloseTo(0.05, 9);
    for (const channel of hlgEotf(grey(1), display)) expect(Math.abs(channel - 1000)).toBeLessThan(1e-3);
    // Signals below the lift end at light 0 and do not turn back up: the lift is 0.028 of signal here.
    expect(hlgEotf(grey(-0.2), display)).toEqual([0, 0, 0]);
  });

  test.each([
    { peak: 0, black: 0 },
    { peak: 1000, black: -1 },
    { peak: 1000, black: 1000 },
    { peak: -1000, black: 0 },
    { peak: Number.NaN, black: 0 },
    { peak: Number.POSITIVE_INFINITY, black: 0 },
  ])('refuses peak $peak, black $black', (display) => {
    expect(() => hlgEotf(grey(0.5), display)).toThrow(RangeError);
    expect(() => hlgEotf(grey(0.5), display)).toThrow(`${display.peak} cd/m2`);
  });

  test.each([0, -1, Number.NaN, Number.POSITIVE_INFINITY])('no display has a peak of %d', (peak) => {
    expect(() => hlgSystemGamma(peak)).toThrow(`a peak of ${peak}`);
  });
});
