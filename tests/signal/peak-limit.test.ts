import { describe, expect, test } from 'vitest';
import { highestAllowedNits, peakLimitCode } from '../../signal/peak-limit.js';
import published from '../standards/data/published-values.json' with { type: 'json' };

/** ST 2084 and BT.2100-3 Table 9, by the table of published values. */
describe('the PQ code of a limit', () => {
  test.each(published.A.pq.rows)('$nits cd/m2', ({ nits, narrow8, narrow10, narrow12 }) => {
    expect([8, 10, 12].map((depth) => peakLimitCode(nits, depth))).toEqual([narrow8, narrow10, narrow12]);
  });
  test('a limit above 10,000 cd/m2 gives the highest PQ code', () =>
    expect(peakLimitCode(20_000, 10)).toBe(940));
});

describe('the most light that meets a limit', () => {
  test('is the light of the nearest code, where that is above the limit: code 723 is 1004.19 cd/m2', () => {
    expect(highestAllowedNits(1000, 10)).toBeCloseTo(1004.1919, 3);
  });
  test('is the limit itself, where the nearest code is below it: code 509 is 99.9128 cd/m2', () => {
    expect(highestAllowedNits(100, 10)).toBeCloseTo(100, 6);
    // Light exactly at the limit meets it, whatever a sum was rounded to.
    expect(highestAllowedNits(100, 10)).toBeGreaterThan(100);
  });
  test('includes the tolerance', () => {
    expect(highestAllowedNits(100, 10, 0.05)).toBeCloseTo(105, 6);
    expect(highestAllowedNits(1000, 10, 0.05)).toBeCloseTo(1.05 * 1004.1919, 3);
  });
});
