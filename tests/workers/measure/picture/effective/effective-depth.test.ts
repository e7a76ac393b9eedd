import { describe, expect, it } from 'vitest';
import { effectiveDepth } from '../../../../../workers/measure/picture/effective/effective-depth.js';
import { random } from '../fields/moving-picture.js';
import { gaussian } from './chroma-planes.js';

// The truth is how the levels were made: real tones, quantised at one depth, then moved to another by gain,
// curve or grain.
const SAMPLES = 150_000;

/** Tones from 0 to 1 as pictures have them: several humps over all of the range. */
function tones(seed: number): () => number {
  const next = random(seed);
  const normal = gaussian(seed + 1);
  return () => {
    const hump = next();
    const [centre, spread] = hump < 0.5 ? [0.3, 0.15] : hump < 0.8 ? [0.55, 0.2] : [0.8, 0.08];
    return Math.min(0.98, Math.max(0.02, centre + spread * normal()));
  };
}

/** Histogram at `declared` bits of codes that `code` makes of tones. */
function histogram(
  declared: number,
  code: (tone: number) => number,
  seed = 1,
  samples = SAMPLES,
): Float64Array {
  const counts = new Float64Array(2 ** declared);
  const tone = tones(seed);
  for (let i = 0; i < samples; i++) {
    const value = Math.min(2 ** declared - 1, Math.max(0, Math.round(code(tone()))));
    counts[value] = (counts[value] ?? 0) + 1;
  }
  return counts;
}

/** A tone as the nearest of 2^bits levels, from 0 to 1. */
const level = (tone: number, bits: number): number => Math.round(tone * (2 ** bits - 1)) / (2 ** bits - 1);
const narrow = (signal: number, bits: number): number => 2 ** (bits - 8) * (16 + 219 * signal);

interface Row {
  readonly what: string;
  readonly declared: number;
  readonly code: (tone: number) => number;
  readonly effective: number | null;
  readonly confidence?: 'low';
}
const ROWS: readonly Row[] = [
  { what: '10 bits of 10', declared: 10, code: (t) => level(t, 10) * 1023, effective: 10 },
  { what: '12 bits of 12', declared: 12, code: (t) => level(t, 12) * 4095, effective: 12 },
  { what: '8 bits, shifted', declared: 10, code: (t) => level(t, 8) * 255 * 4, effective: 8 },
  {
    what: '8 bits, replicated',
    declared: 10,
    code: (t) => Math.floor(level(t, 8) * 255 * 4.02),
    effective: 8,
  },
  { what: '8 bits full to 10 bits narrow', declared: 10, code: (t) => narrow(level(t, 8), 10), effective: 8 },
  {
    what: '8 bits, gained by 1.2',
    declared: 10,
    code: (t) => level(t, 8) * 255 * 4 * 1.2 - 60,
    effective: 8,
  },
  {
    what: '8 bits, gained by 0.85',
    declared: 10,
    code: (t) => level(t, 8) * 255 * 4 * 0.85 + 20,
    effective: 8,
  },
  { what: '8 bits, a stop up', declared: 10, code: (t) => level(t, 8) * 255 * 8 - 500, effective: 8 },
  { what: '8 bits, graded by a gamma', declared: 10, code: (t) => level(t, 8) ** 0.85 * 1023, effective: 8 },
  { what: '8 bits in 12', declared: 12, code: (t) => level(t, 8) * 255 * 16 * 1.1 - 100, effective: 8 },
  {
    what: '10 bits in 12, gained',
    declared: 12,
    code: (t) => level(t, 10) * 1023 * 4 * 1.1 - 100,
    effective: 10,
  },
  {
    what: '10 bits, gained by 1.1 in 10',
    declared: 10,
    code: (t) => level(t, 10) * 1023 * 1.1 - 30,
    effective: 10,
  },
  // A stop up in 10 bits, or half of 8: nine bits of steps, and nobody can say where from.
  {
    what: '10 bits, a stop up',
    declared: 10,
    code: (t) => level(t, 10) * 1023 * 2 - 500,
    effective: 9,
    confidence: 'low',
  },
];

describe('lossless', () => {
  it.each(ROWS)('$what', ({ declared, code, effective, confidence = 'high' }) => {
    expect(effectiveDepth([histogram(declared, code)], declared, 'ffv1')).toEqual({
      declared,
      effective,
      confidence,
    });
  });

  it('a genuine picture is recognised with any noise', () => {
    for (let seed = 2; seed < 12; seed++) {
      const counts = histogram(10, (t) => level(t, 10) * 1023, seed);
      expect(effectiveDepth([counts], 10, 'ffv1')).toMatchObject({ effective: 10, confidence: 'high' });
    }
  });

  it('titles over a picture with gain do not hide its lower depth', () => {
    const counts = histogram(10, (t) => narrow(level(t, 8), 10));
    const drawn = random(5);
    for (let i = 0; i < SAMPLES / 100; i++) {
      const code = 64 + Math.floor(876 * drawn());
      counts[code] = (counts[code] ?? 0) + 1;
    }
    expect(effectiveDepth([counts], 10, 'ffv1')).toMatchObject({ effective: 8, confidence: 'high' });
  });

  // Every code occurs, yet most of the picture has 8 bits: how many samples lie off the grid counts.
  it.each([
    [0.018, 8],
    [0.08, 8],
    [0.3, null],
    [0.6, null],
  ])('a share of %f drawn in 10 bits over an 8-bit picture is no proof of 10', (share, effective) => {
    const counts = histogram(10, (t) => level(t, 8) * 1020, 1, SAMPLES * (1 - share));
    histogram(10, (t) => level(t, 10) * 1023, 2, SAMPLES * share).forEach((count, code) => {
      counts[code] = (counts[code] ?? 0) + count;
    });
    expect(effectiveDepth([counts], 10, 'ffv1')).toEqual({ declared: 10, effective, confidence: 'low' });
  });

  it.each([
    ['10 bits', (t: number) => level(t, 10) * 1023, 10],
    ['8 bits', (t: number) => level(t, 8) * 1020, 8],
  ] as const)('a little of %s on black of a code that both have: black says nothing', (_, code, depth) => {
    const counts = histogram(10, code);
    counts[64] = 100 * SAMPLES;
    expect(effectiveDepth([counts], 10, 'ffv1')).toEqual({
      declared: 10,
      effective: depth,
      confidence: 'high',
    });
  });

  /** Samples spread over some codes, a few on each. */
  const strewn = (counts: Float64Array, share: number, codes: readonly number[]): Float64Array => {
    const each = (share * SAMPLES) / codes.length;
    for (const code of codes) counts[code] = (counts[code] ?? 0) + each;
    return counts;
  };
  const every = (step: number, from: number, to: number): number[] =>
    Array.from({ length: Math.ceil((to - from) / step) }, (_, i) => from + step * i);

  // A comb is looked for between the tails, 2 % of the samples at either end; where much of the tone has
  // none, nothing is sure.
  it.each([
    [0.015, [...every(3, 2, 180), 7, 8, 11], 'high'],
    [0.015, [...every(5, 1003, 1023), 1000, 1001], 'high'],
    [0.3, every(1, 40, 180), 'low'],
  ] as const)('a share of %f beside a comb of 8 bits: %#', (share, codes, confidence) => {
    const middle = (t: number): number => 200 + Math.round(level(t, 8) * 150) * 5;
    const counts = strewn(histogram(10, middle, 1, SAMPLES * (1 - share)), share, codes);
    expect(effectiveDepth([counts], 10, 'ffv1')).toEqual({ declared: 10, effective: 8, confidence });
  });

  // Of the codes between the 5th and the 95th percentile three in four must occur.
  it.each([
    ['below', 0.04, 200, every(7, 3, 200), 'high'],
    ['above', 0.04, 500, every(7, 803, 1023), 'high'],
    ['below', 0.3, 200, every(7, 3, 200), 'low'],
    ['above', 0.3, 500, every(7, 803, 1023), 'low'],
  ] as const)('10 bits, and %s them a share of %f on one code in seven', (_, share, from, codes, sure) => {
    const middle = (t: number): number => from + 300 * t;
    const counts = strewn(histogram(10, middle, 1, SAMPLES * (1 - share)), share, codes);
    const { effective, confidence } = effectiveDepth([counts], 10, 'ffv1');
    expect([effective === 10, confidence]).toEqual([sure === 'high', sure]);
  });

  it.each([0.5, 0.7, 1])('grain of %f codes over 8 bits leaves a trace: it cannot be told', (grain) => {
    const noise = gaussian(77);
    const counts = histogram(10, (t) => level(t, 8) * 1020 + grain * noise());
    expect(effectiveDepth([counts], 10, 'ffv1')).toEqual({
      declared: 10,
      effective: null,
      confidence: 'low',
    });
  });

  it('RGB: all three channels must say so', () => {
    const combed = histogram(10, (t) => level(t, 8) * 255 * 4 * 1.2 - 60);
    const full = histogram(10, (t) => level(t, 10) * 1023);
    expect(effectiveDepth([combed, combed, combed], 10, 'ffv1')).toMatchObject({ effective: 8 });
    expect(effectiveDepth([combed, full, combed], 10, 'ffv1').effective).not.toBe(8);
  });

  it.each([
    ['nothing', (): Float64Array => new Float64Array(1024)],
    ['one tone', (): Float64Array => histogram(10, () => 500)],
    ['two tones', (): Float64Array => histogram(10, (t) => (t < 0.5 ? 64 : 940))],
    ['a few samples', (): Float64Array => histogram(10, (t) => level(t, 10) * 1023, 1, 100)],
  ])('%s: it cannot be told', (_, make) => {
    expect(effectiveDepth([make()], 10, 'ffv1')).toEqual({
      declared: 10,
      effective: null,
      confidence: 'low',
    });
  });
});

describe('lossy', () => {
  it.each([
    ['10 bits of 10', (t: number) => level(t, 10) * 1023, null, 'low'],
    ['8 bits, shifted', (t: number) => level(t, 8) * 1020, 8, 'high'],
    ['8 bits, gained', (t: number) => level(t, 8) * 1020 * 1.2 - 60, 8, 'low'],
  ] as const)('%s', (_, code, effective, confidence) => {
    expect(effectiveDepth([histogram(10, code)], 10, 'prores')).toEqual({
      declared: 10,
      effective,
      confidence,
    });
  });
});

it('8 bits declared are 8 bits', () => {
  expect(effectiveDepth([new Float64Array(256)], 8, 'h264')).toEqual({
    declared: 8,
    effective: 8,
    confidence: 'high',
  });
});
