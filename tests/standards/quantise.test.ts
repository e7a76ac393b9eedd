import { describe, expect, test } from 'vitest';
import {
  chromaLevels,
  decodeChroma,
  decodeLuma,
  encodeChroma,
  encodeLuma,
  lumaLevels,
  maxCode,
  RANGE_NAMES,
  roundHalfAwayFromZero,
  videoDataLevels,
} from '../../signal/quantise.js';
import { r103PreferredLevels, r103TotalLevels } from '../../signal/r103.js';
import published from './data/published-values.json' with { type: 'json' };

const DEPTHS = ['8', '10', '12', '16'] as const;
const ALL_DEPTHS = [8, 9, 10, 11, 12, 13, 14, 15, 16];

describe.each(DEPTHS)('%s bits, narrow: BT.2100-3 Table 9, BT.709-6 item 4.6 (seen)', (bits) => {
  const { black, white, chroma } = published.D.quantisation[bits];
  const depth = Number(bits);

  test('black and nominal peak', () => {
    expect([encodeLuma(0, depth, 'narrow'), encodeLuma(1, depth, 'narrow')]).toEqual([black, white]);
    expect(lumaLevels(depth, 'narrow')).toEqual({ black, white });
  });
  test('chroma', () => {
    expect([-0.5, 0, 0.5].map((signal) => encodeChroma(signal, depth, 'narrow'))).toEqual(chroma);
  });
});

describe.each(DEPTHS)('%s bits: EBU R 103 v3.0 Table 1 (seen)', (bits) => {
  const { nominal, preferred, total } = published.D.r103_v3;
  const pair = ({ min, max }: { min: number; max: number }): number[] => [min, max];

  test('nominal, preferred and total range', () => {
    const { black, white } = lumaLevels(Number(bits), 'narrow');
    expect([black, white]).toEqual(nominal[bits]);
    expect(pair(r103PreferredLevels(Number(bits)))).toEqual(preferred[bits]);
    expect(pair(r103TotalLevels(Number(bits)))).toEqual(total[bits]);
  });
});

test('steps of BT.2111-2 and RP 219: -7, 0, 10 .. 100, 109 % at 10 bits (seen)', () => {
  const { steps_narrow, steps_full } = published.F.bt2111_2;
  const percents = [0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100];
  expect(percents.map((percent) => encodeLuma(percent / 100, 10, 'narrow'))).toEqual(
    steps_narrow.slice(1, -1),
  );
  expect(percents.map((percent) => encodeLuma(percent / 100, 10, 'full'))).toEqual(steps_full.slice(1, -1));
  expect(videoDataLevels(10)).toEqual({ min: steps_narrow[0], max: steps_narrow.at(-1) });
});

test('full range: 0 .. 2^n - 1, neutral at 2^(n-1) (BT.2100-3 Table 9; chroma rows from memory)', () => {
  for (const depth of ALL_DEPTHS) {
    const top = 2 ** depth - 1;
    expect(maxCode(depth)).toBe(top);
    expect([0, 1].map((signal) => encodeLuma(signal, depth, 'full'))).toEqual([0, top]);
    expect(encodeChroma(0, depth, 'full')).toBe(2 ** (depth - 1));
    // Round[(2^n - 1) / 2 + 2^(n-1)] = 2^n, one more than the depth holds.
    expect(encodeChroma(0.5, depth, 'full')).toBe(top);
    // -(2^n - 1) / 2 + 2^(n-1) = 1/2, rounded away from zero.
    expect(encodeChroma(-0.5, depth, 'full')).toBe(1);
  }
});

test('every code of every depth and range comes back', () => {
  for (const range of RANGE_NAMES) {
    for (const depth of ALL_DEPTHS) {
      for (let code = 0; code <= maxCode(depth); code += depth > 12 ? 7 : 1) {
        if (encodeLuma(decodeLuma(code, depth, range), depth, range) !== code)
          throw new Error(`luma ${code}@${depth} ${range}`);
        if (encodeChroma(decodeChroma(code, depth, range), depth, range) !== code)
          throw new Error(`chroma ${code}@${depth} ${range}`);
      }
    }
  }
});

test('rounds halves away from zero, on both sides (BT.2100-3: Sign(x) Floor(|x| + 0.5))', () => {
  expect([0.5, 1.5, 2.49999, -0.5, -1.5, -0.4, 0].map(roundHalfAwayFromZero)).toEqual([
    1, 2, 2, -1, -2, 0, 0,
  ]);
  expect(Object.is(roundHalfAwayFromZero(-0.4), 0)).toBe(true);
});

test('values beyond the code range are held at its ends', () => {
  expect(encodeLuma(-1, 10, 'narrow')).toBe(0);
  expect(encodeLuma(2, 10, 'narrow')).toBe(1023);
  expect(encodeLuma(-0.05, 10, 'narrow')).toBe(20);
  expect(encodeChroma(3, 8, 'narrow')).toBe(255);
  expect(chromaLevels(8, 'narrow')).toEqual({ min: 16, neutral: 128, max: 240 });
});

test.each([7, 17, 9.5, Number.NaN])('a depth of %d bits is refused', (depth) => {
  expect(() => encodeLuma(0.5, depth, 'full')).toThrow(RangeError);
  expect(() => decodeChroma(0, depth, 'narrow')).toThrow(/8 to 16/);
  expect(() => r103PreferredLevels(depth)).toThrow(RangeError);
});
