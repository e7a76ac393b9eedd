import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import {
  equalRationals,
  formatRational,
  framesToSeconds,
  parseRational,
  rational,
  toNumber,
} from '../../signal/rational.js';

describe('lowest terms, with the sign in the numerator', () => {
  test.each([
    [60_000, 2002, 30_000, 1001],
    [25, 1, 25, 1],
    [6, -4, -3, 2],
    [-6, -4, 3, 2],
    [0, 7, 0, 1],
    [0, -7, 0, 1],
  ])('%i/%i is %i/%i', (num, den, lowNum, lowDen) => {
    const value = rational(num, den);
    expect(value).toEqual({ num: lowNum, den: lowDen });
    // Never -0, which would print as 0 and compare as another.
    expect(Object.is(value.num, lowNum)).toBe(true);
  });
  it('a whole number needs no denominator', () => expect(rational(24)).toEqual({ num: 24, den: 1 }));
  test.each([
    [1, 0],
    [1.5, 1],
    [1, 1.5],
    [Number.NaN, 1],
    [2 ** 53, 1],
    [1, 2 ** 53],
    [Number.POSITIVE_INFINITY, 1],
  ])('%d/%d is none', (num, den) => expect(() => rational(num, den)).toThrow(`${num}/${den}`));
});

test('two forms of one number are equal, two numbers are not', () => {
  const whole = fc.integer({ min: 1, max: 100_000 });
  fc.assert(
    fc.property(whole, whole, whole, (num, den, factor) => {
      const value = rational(num, den);
      expect(equalRationals(value, { num: num * factor, den: den * factor })).toBe(true);
      expect(equalRationals(value, rational(num + 1, den))).toBe(false);
      expect(toNumber(value)).toBeCloseTo(num / den, 12);
      expect(parseRational(formatRational(value))).toEqual(value);
    }),
    { numRuns: 200 },
  );
});

describe('reading', () => {
  test.each([
    [' 25 ', { num: 25, den: 1 }],
    ['30000/1001', { num: 30_000, den: 1001 }],
    ['16:9', { num: 16, den: 9 }],
    ['50/2', { num: 25, den: 1 }],
    ['999999999999999/1', { num: 999_999_999_999_999, den: 1 }],
  ])('%j', (text, value) => expect(parseRational(text)).toEqual(value));
  test.each([
    '',
    '25/0',
    '29.97',
    '-25',
    'x25',
    '25x',
    '25/',
    '/25',
    '25/1/1',
    '1000000000000000',
    '1/1000000000000000',
  ])('%j is none', (text) => expect(parseRational(text)).toBeNull());
});

test('an hour of non-drop timecode at 30000/1001 lasts 3603.6 s', () => {
  expect(framesToSeconds(108_000, rational(30_000, 1001))).toBeCloseTo(3603.6, 9);
});
