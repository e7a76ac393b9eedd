import { describe, expect, test } from 'vitest';
import { highestAllowedNits, peakLimitCode } from '../../signal/peak-limit.js';
import published from '../standards/data/published-values.json' with { type: 'json' };

/** ST 2084 and BT.2100-3 Table 9, by the table of published values. */
describe('the PQ code of a limit', () => {
  test.each(published.A.pq.rows)('$nits cd/m2', ({ nits, narrow8, narrow10, narrow12 }) => {
    expect([8, 10, 12].map((depth) => peakLimitCode(nits, depth))).toEqual([narrow8, narrow10, narrow12]);
  });
  test('a limit above PQ is its peak', () => expect(peakLimitCode(20_000, 10)).toBe(940));
});

describe('the most light that meets a limit', () => {
  test('is what its code shows, where that is more: code 723 is 1004.19 cd/m2', () => {
    expect(highestAllowedNits(1000, 10)).toBeCloseTo(1004.1919, 3);
  });
  test('is the limit itself, where its code shows less: code 509 is 99.9128 cd/m2', () => {
    expect(highestAllowedNits(100, 10)).toBeCloseTo(100, 6);
    // Light exactly at the limit meets it, whatever a sum was rounded to.
    expect(highestAllowedNits(100, 10)).toBeGreaterThan(100);
  });
  test('has the tolerance on top', () => {
    expect(highestAllowedNits(100, 10, 0.05)).toBeCloseTo(105, 6);
    expect(highestAllowedNits(1000, 10, 0.05)).toBeCloseTo(1.05 * 1004.1919, 3);
  });
});
