import { describe, expect, test } from 'vitest';
import { TRANSFER_NAMES, type TransferName } from '../../../signal/colour-names.js';
import { transferFunction } from '../../../signal/transfer/transfer-functions.js';
import { curveOf } from './curve.js';

/**
 * The contract every curve keeps. Monotony and round trip alone do not notice a pair whose two names are swapped,
 * so each curve also has a published mid value, and its direction is tested.
 */
interface Expected {
  /** Lowest and highest light the curve is made for; signal 0..1 lies within or close to it. */
  readonly light: readonly [number, number];
  /** Published: this light has this signal. */
  readonly mid: readonly [light: number, signal: number];
  readonly tolerance: number;
  readonly source: string;
  /** Widest step, in signal, where printed branch constants do not meet. */
  readonly seam?: number;
  /** Widest stretch of light, where printed branches overlap, that becomes one signal. */
  readonly plateau?: number;
}

const GREY = 0.18;

const EXPECTED: Readonly<Record<TransferName, Expected>> = {
  bt709: {
    light: [0, 1],
    mid: [GREY, 0.4090077],
    tolerance: 1e-7,
    source: 'BT.709-6 item 1.2, by hand: 1.099 * 0.18^0.45 - 0.099',
    seam: 2.5e-4,
  },
  smpte170m: {
    light: [0, 1],
    mid: [GREY, 0.4090077],
    tolerance: 1e-7,
    source: 'BT.601-7 clause 2.6.4, the figures of BT.709',
    seam: 2.5e-4,
  },
  'bt2020-10': {
    light: [0, 1],
    mid: [GREY, 0.4090077],
    tolerance: 1e-7,
    source: 'BT.2020-2 Table 4, 10 bits: the figures of BT.709',
    seam: 2.5e-4,
  },
  'bt2020-12': {
    light: [0, 1],
    // The seamless constants alpha 1.09929682680944, beta 0.018053968510807 (BT.2020-2 Table 4, note) give 0.4088484.
    mid: [GREY, 0.4088484],
    tolerance: 5e-6,
    source: 'BT.2020-2 Table 4, seamless constants',
    seam: 1e-4,
  },
  bt1886: {
    light: [0, 1],
    mid: [0.1894646, 0.5],
    tolerance: 1e-7,
    source: 'BT.1886 Annex 1: 0.5^2.4',
  },
  'iec61966-2-1': {
    light: [0, 1],
    mid: [0.214041, 0.5],
    tolerance: 1e-6,
    source: 'IEC 61966-2-1 clause 5.2: signal 0.5 (from memory: 0.2140)',
  },
  linear: { light: [0, 1], mid: [GREY, GREY], tolerance: 0, source: 'H.273 Table 3, value 8' },
  smpte2084: {
    light: [0, 10_000],
    mid: [92.2457089941, 0.5],
    tolerance: 1e-10,
    source: 'ST 2084: transcription, signal 0.5',
  },
  'arib-std-b67': {
    light: [0, 1],
    mid: [1 / 12, 0.5],
    tolerance: 1e-12,
    source: 'BT.2100-3 Table 5: the break, 1/12 -> 0.5',
  },
  'S-Log3': {
    light: [0, 38],
    mid: [GREY, 420 / 1023],
    tolerance: 1e-12,
    source: 'Technical Summary S-Gamut3/S-Log3: 18 % is code 420',
  },
  ACEScct: {
    light: [0, 222],
    mid: [GREY, 0.4135884],
    tolerance: 5e-8,
    source: 'ACES S-2016-001: transcription',
  },
  LogC3: {
    light: [0, 55],
    mid: [GREY, 0.391007],
    tolerance: 5e-7,
    source: 'LogC3 white paper: 18 % is 0.391007 (code 400)',
    seam: 2e-6,
  },
  LogC4: {
    light: [-0.018, 469.8],
    mid: [GREY, 0.2783958],
    tolerance: 5e-8,
    source: 'LogC4 specification: 18 % is 0.2783958 (code 285)',
  },
  'V-Log': {
    light: [0, 46],
    mid: [GREY, 433 / 1023],
    tolerance: 0.5 / 1023,
    source: 'V-Log reference manual: 18 % is code 433',
    seam: 1e-6,
  },
  'C-Log2': {
    light: [0, 59],
    mid: [0.4920826, 0.5],
    tolerance: 1e-7,
    source: 'OpenColorIO 2.1.2: decode of 0.5',
  },
  'C-Log3': {
    light: [0, 14],
    mid: [GREY, 351 / 1023],
    tolerance: 0.5 / 1023,
    source: 'C-Log document v1.2: 18 % is code 351',
    seam: 1e-6,
  },
  'F-Log': {
    light: [0, 7.2],
    mid: [GREY, 470 / 1023],
    tolerance: 0.5 / 1023,
    source: 'F-Log Data Sheet: 18 % is code 470',
    // The printed toe passes the printed log by 1.02e-4 at the break: 1.02e-4 / 8.7 of light is doubly coded.
    plateau: 1.2e-5,
  },
  'F-Log2': {
    light: [0, 58],
    mid: [GREY, 400 / 1023],
    tolerance: 0.5 / 1023,
    source: 'F-Log2 Data Sheet: 18 % is code 400',
    seam: 1e-4,
  },
  'N-Log': {
    light: [-0.0075, 14.8],
    mid: [GREY, 0.363668],
    tolerance: 5e-7,
    source: 'N-Log specification: 18 % is 0.363668 (code 372)',
    seam: 2e-4,
  },
  Log3G10: {
    light: [-0.01, 184],
    mid: [GREY, 1 / 3],
    tolerance: 2e-6,
    source: 'Log3G10 white paper (from memory): mid grey at a third, 10 stops above it at 1',
  },
};

const EXTREMES = [-Number.MAX_VALUE, -1e9, -1000, -1, -Number.MIN_VALUE, 0, 2, 1000, 1e9, Number.MAX_VALUE];

describe.each(TRANSFER_NAMES)('%s', (name) => {
  const { toSignal, toLight } = curveOf(name);
  const { light, mid, tolerance, seam = 1e-7, plateau = 1e-6 } = EXPECTED[name];

  test('is found under its own name, with a source', () => {
    const curve = transferFunction(name);
    expect(curve.name).toBe(name);
    expect(curve.source.length).toBeGreaterThan(10);
  });

  test('rises everywhere, and strictly within its own range', () => {
    const signals = range(-0.5, 1.5, 20_001);
    expect(falls(signals.map(toLight))).toEqual([]);
    const within = geometric(light[0], light[1], 20_001);
    expect(falls(within.map(toSignal))).toEqual([]);
    const [low, high] = [toSignal(light[0]), toSignal(light[1])];
    const codes = range(Math.max(low, 1e-5), high, 1024);
    const decoded = codes.map(toLight);
    // Two neighbouring 10-bit codes are the same light only inside a seam narrower than the step between them.
    expect(decoded.filter((value, index) => index > 0 && value === decoded[index - 1])).toEqual([]);
  });

  test('comes back from both sides', () => {
    for (const signal of range(Math.max(toSignal(light[0]), 1e-5), Math.min(toSignal(light[1]), 1), 4096)) {
      expect(Math.abs(toSignal(toLight(signal)) - signal)).toBeLessThanOrEqual(seam);
    }
    for (const value of geometric(light[0], light[1], 4096)) {
      const error = Math.abs(toLight(toSignal(value)) - value);
      expect(error).toBeLessThanOrEqual(Math.max(plateau, Math.abs(value) * 1e-9));
    }
  });

  test('stays finite for every finite number', () => {
    for (const value of EXTREMES) {
      expect(Number.isFinite(toSignal(value)), `signal of light ${value}`).toBe(true);
      expect(Number.isFinite(toLight(value)), `light of signal ${value}`).toBe(true);
    }
    expect(falls(EXTREMES.map(toSignal))).toEqual([]);
    expect(falls(EXTREMES.map(toLight))).toEqual([]);
  });

  test(`has its published mid value (${EXPECTED[name].source})`, () => {
    expect(Math.abs(toSignal(mid[0]) - mid[1])).toBeLessThanOrEqual(tolerance);
  });

  test('points the right way: dark light takes more than its share of the signal', () => {
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
