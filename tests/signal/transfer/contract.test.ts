import { describe, expect, test } from 'vitest';
import { PRIMARIES_NAMES } from '../../../signal/gamut/gamuts.js';
import {
  isCameraLog,
  TRANSFER_NAMES,
  transferFunction,
} from '../../../signal/transfer/transfer-functions.js';
import { curveOf } from './curve.js';

/**
 * The contract every curve keeps. Monotony and round trip alone do not notice a pair whose two names are
 * swapped, so each curve also has a published mid value, and its direction is tested. What is published
 * stands with the curve.
 */
const EXTREMES = [-Number.MAX_VALUE, -1e9, -1000, -1, -Number.MIN_VALUE, 0, 2, 1000, 1e9, Number.MAX_VALUE];

describe.each(TRANSFER_NAMES)('%s', (name) => {
  const { toSignal, toLight } = curveOf(name);
  const { light, mid, seam = 1e-7, plateau = 1e-6 } = transferFunction(name).published;

  test('is found under its own name, with a title and sources', () => {
    const curve = transferFunction(name);
    expect(curve.name).toBe(name);
    expect(curve.title.length).toBeGreaterThan(1);
    expect(curve.source.length).toBeGreaterThan(10);
    expect(mid.source.length).toBeGreaterThan(10);
  });

  test('states properties that agree with each other', () => {
    const { family, referred, linear, coding, codePoint, primaries } = transferFunction(name);
    // A camera's log has no value in H.273, and is scene light in codes of full scale.
    const isLog = family === 'scene' && name !== 'linear';
    expect(isCameraLog(name)).toBe(isLog);
    expect(coding).toBe(isLog ? 'full-code' : 'narrow');
    if (isLog)
      expect({ referred, linear, codePoint }).toEqual({
        referred: 'scene',
        linear: 'reflectance',
        codePoint: null,
      });
    // BT.2100-3: PQ is absolute light of the display, HLG the scene's; all other systems are relative.
    const sdr = referred === 'scene' ? 'reflectance' : 'display-normalised';
    expect(linear).toBe({ pq: 'nits', hlg: 'scene-normalised', scene: 'reflectance', sdr }[family]);
    if (name === 'linear') expect(primaries).toBeNull();
    else expect(PRIMARIES_NAMES).toContain(primaries);
  });

  test('covers light from black to its highest code', () => {
    // Black lies at signal 0, or above it by as much as a camera leaves for noise: V-Log 0.125, C-Log3
    // 0.1251.
    if (light[0] === 0) expect(toSignal(0)).toBeLessThanOrEqual(0.126);
    else expect(Math.abs(toSignal(light[0]))).toBeLessThan(1e-3);
    expect(Math.abs(toSignal(light[1]) - 1)).toBeLessThan(1e-2);
  });

  test('needs no more tolerance than half a 10-bit code, nor than the widest published seam (BT.709: 2.5e-4)', () => {
    expect(mid.tolerance).toBeLessThanOrEqual(0.5 / 1023);
    expect(seam).toBeLessThanOrEqual(2.5e-4);
    expect(plateau).toBeLessThanOrEqual(1.2e-5);
    expect(mid.light).toBeGreaterThan(light[0]);
    expect(mid.light).toBeLessThan(light[1]);
  });

  test('never falls, and rises strictly within its own range', () => {
    const signals = range(-0.5, 1.5, 20_001);
    expect(falls(signals.map(toLight))).toEqual([]);
    const within = geometric(light[0], light[1], 20_001);
    expect(falls(within.map(toSignal))).toEqual([]);
    const [low, high] = [toSignal(light[0]), toSignal(light[1])];
    const codes = range(Math.max(low, 1e-5), high, 1024);
    const decoded = codes.map(toLight);
    // Two neighbouring 10-bit codes are the same light only inside a seam narrower than the step between
    // them.
    expect(decoded.filter((value, index) => index > 0 && value === decoded[index - 1])).toEqual([]);
  });

  test('round trip, from light and from signal', () => {
    for (const signal of range(Math.max(toSignal(light[0]), 1e-5), Math.min(toSignal(light[1]), 1), 4096)) {
      expect(Math.abs(toSignal(toLight(signal)) - signal)).toBeLessThanOrEqual(seam);
    }
    for (const value of geometric(light[0], light[1], 4096)) {
      const error = Math.abs(toLight(toSignal(value)) - value);
      expect(error).toBeLessThanOrEqual(Math.max(plateau, Math.abs(value) * 1e-9));
    }
  });

  test('is finite for every finite input', () => {
    for (const value of EXTREMES) {
      expect(Number.isFinite(toSignal(value)), `signal of light ${value}`).toBe(true);
      expect(Number.isFinite(toLight(value)), `light of signal ${value}`).toBe(true);
    }
    expect(falls(EXTREMES.map(toSignal))).toEqual([]);
    expect(falls(EXTREMES.map(toLight))).toEqual([]);
  });

  test(`has its published mid value (${transferFunction(name).published.mid.source})`, () => {
    expect(Math.abs(toSignal(mid.light) - mid.signal)).toBeLessThanOrEqual(mid.tolerance);
  });

  test('has the right direction: dark light takes more than its share of the signal', () => {
    const share =
      (toSignal(light[0] + 0.18 * (light[1] - light[0])) - toSignal(light[0])) / span(toSignal, light);
    if (name === 'linear') expect(share).toBeCloseTo(0.18, 12);
    else expect(share).toBeGreaterThan(0.3);
  });
});

function span(toSignal: (light: number) => number, [low, high]: readonly [number, number]): number {
  return toSignal(high) - toSignal(low);
}

function range(from: number, to: number, count: number): number[] {
  return Array.from({ length: count }, (_, index) => from + ((to - from) * index) / (count - 1));
}

/** Dense near `from`, where curves are steep and have their seams. */
function geometric(from: number, to: number, count: number): number[] {
  return range(-6, 0, count).map((exponent) => from + (to - from) * 10 ** exponent);
}

/** Places where a sequence that should rise falls. */
function falls(values: readonly number[]): { index: number; from: number; to: number }[] {
  return values.flatMap((to, index) => {
    const from = index === 0 ? Number.NEGATIVE_INFINITY : (values[index - 1] ?? Number.NaN);
    return to >= from ? [] : [{ index, from, to }];
  });
}
