import { describe, expect, it } from 'vitest';
import { quantiserForSize, type TriedSizes } from '../../../../workers/make/quantiser/quantiser-for-size.js';

const RANGE = { finest: 1, coarsest: 128 };

/** Sizes of frames that follow a law, at four quantisers. */
function tried(size: (quantiser: number) => number, ...weights: number[]) {
  const at = (quantiser: number): TriedSizes => ({
    quantiser,
    bytes: (weights.length === 0 ? [1] : weights).map((weight) => weight * size(quantiser)),
  });
  return [at(1), at(3), at(9), at(27)];
}
/** The law of an even slope: half the size at twice the quantiser. */
const HALVES = (quantiser: number) => 1_000_000 / quantiser;
/** A law that bends as real pictures do: a parabola in the logarithms. */
const BENT = (quantiser: number) =>
  Math.exp(Math.log(1_000_000) - 0.3 * Math.log(quantiser) - 0.08 * Math.log(quantiser) ** 2);

describe('the finest quantiser that keeps a size', () => {
  it.each([
    ['where the law is met at a whole number, that one', HALVES, 100_000, 10],
    ['just below it, the next coarser', HALVES, 99_999, 11],
    ['where all is small enough, the finest', HALVES, 2_000_000, 1],
    ['beyond what was tried, the slope goes on', HALVES, 20_000, 50],
    ['where nothing is small enough, the coarsest', HALVES, 10, 128],
    ['a law that bends is followed between the tries', BENT, BENT(14) + 1, 14],
    ['and beyond the finest try', BENT, BENT(3) + 1, 3],
  ])('%s', (_, law, bytes, expected) => {
    expect(quantiserForSize(tried(law), bytes * (1 + 1e-9), RANGE)).toBe(expected);
  });

  it('keeps the mean of frames that differ', () => {
    // Mean weight 1, the largest 1.2.
    expect(quantiserForSize(tried(HALVES, 0.8, 1, 1.2), 100_001, RANGE)).toBe(10);
  });

  it('lets no frame take more than one and a half times its share', () => {
    // Mean weight 1, the largest 3: twice too large at what the mean would allow.
    expect(quantiserForSize(tried(HALVES, 0, 0, 3), 100_001, RANGE)).toBe(20);
  });

  it('needs three tries', () => {
    expect(() => quantiserForSize(tried(HALVES).slice(1, 3), 1, RANGE)).toThrow(RangeError);
  });
});
