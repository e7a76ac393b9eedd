import { describe, expect, it } from 'vitest';
import { bitsKept } from '../../signal/precision.js';

/** Mean squared error of a 12-bit ramp, every code once, against what `through` makes of it. */
function meanSquared(through: (code: number) => number): number {
  let sum = 0;
  for (let code = 0; code < 4096; code++) sum += (through(code) - code) ** 2;
  return sum / 4096;
}

describe('bits kept (effective number of bits, IEEE Std 1241, from memory)', () => {
  it('a lossless copy keeps all bits', () => {
    for (const depth of [8, 10, 12, 16]) expect(bitsKept(0, depth)).toBe(depth);
  });

  it.each([
    [11, 2],
    [10, 4],
    [8, 16],
  ])('a 12-bit ramp at the middle of steps of %i bits keeps so many', (bits, step) => {
    const middle = (code: number): number => Math.floor(code / step) * step + (step - 1) / 2;
    expect(bitsKept(meanSquared(middle), 12)).toBeCloseTo(bits, 12);
  });

  it('rounding halves up keeps a little less: its errors have a mean of half a code', () => {
    // Errors -1, 0, 1, 2 of each four codes: mean square 6/4.
    const rounded = (code: number): number => Math.floor(code / 4 + 0.5) * 4;
    expect(bitsKept(meanSquared(rounded), 12)).toBeCloseTo(12 - 0.5 * Math.log2(1 + 12 * 1.5), 12);
  });

  it('a copy of another picture keeps nothing', () => {
    expect(bitsKept(1000 ** 2, 10)).toBe(0);
  });
});
