import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lattice } from '../../../signal/lut/bake.js';
import { UNIT_DOMAIN } from '../../../signal/lut/cube.js';
import { applyCube, interpolateLinear } from '../../../signal/lut/linear-interpolation.js';
import { interpolateTetrahedral } from '../../../signal/lut/tetrahedral.js';
import type { Vector3 } from '../../../signal/matrix3.js';

const unit = fc.double({ min: 0, max: 1, noNaN: true });
const colour = fc.tuple(unit, unit, unit);

describe('tetrahedral interpolation', () => {
  it('reproduces a linear function exactly, at any size', () => {
    const linear = ([r, g, b]: Vector3): Vector3 => [2 * r - g + 0.1, 0.3 * r + 0.3 * g + b, -b];
    fc.assert(
      fc.property(colour, fc.integer({ min: 2, max: 9 }), (rgb, size) => {
        const got = interpolateTetrahedral(lattice(size, linear), rgb);
        for (const [i, want] of linear(rgb).entries()) expect(got[i]).toBeCloseTo(want, 12);
      }),
    );
  });

  it('mixes the four corners of one tetrahedron (computed by hand)', () => {
    // One cell whose corners hold 1 where the name says so. In r > g > b the path is 000, 100, 110, 111.
    const corner = (name: string) =>
      lattice(2, ([r, g, b]) => (`${r}${g}${b}` === name ? [1, 1, 1] : [0, 0, 0]));
    const at: Vector3 = [0.7, 0.4, 0.1];
    const weight = (name: string): number => interpolateTetrahedral(corner(name), at)[0];
    expect(weight('000')).toBeCloseTo(1 - 0.7, 12);
    expect(weight('100')).toBeCloseTo(0.7 - 0.4, 12);
    expect(weight('110')).toBeCloseTo(0.4 - 0.1, 12);
    expect(weight('111')).toBeCloseTo(0.1, 12);
    for (const name of ['010', '001', '101', '011']) expect(weight(name)).toBe(0);
  });

  it('keeps greys grey where the table does', () => {
    const table = lattice(5, ([r, g, b]) => [r * r + (g - b), g * g, b * b + (r - g)]);
    fc.assert(
      fc.property(unit, (v) => {
        const [r, g, b] = interpolateTetrahedral(table, [v, v, v]);
        expect(r).toBeCloseTo(g, 12);
        expect(b).toBeCloseTo(g, 12);
      }),
    );
  });

  it('limits input to the domain', () => {
    const table = lattice(3, (rgb) => rgb);
    expect(interpolateTetrahedral(table, [-1, 0.5, 7])).toEqual([0, 0.5, 1]);
    const wide = { ...table, domainMin: [-1, -1, -1], domainMax: [1, 1, 1] } as const;
    expect(interpolateTetrahedral(wide, [0, -1, 1])).toEqual([0.5, 0, 1]);
    expect(interpolateTetrahedral(table, [Number.NaN, 0, 0])).toEqual([0, 0, 0]);
  });
});

describe('a 1D table', () => {
  const table = { size: 3, values: Float64Array.from([0, 0, 0, 0.5, 1, 0.25, 1, 1, 1]), ...UNIT_DOMAIN };
  it('takes each channel through its own column', () => {
    expect(interpolateLinear(table, [0.25, 0.25, 0.75])).toEqual([0.25, 0.5, 0.625]);
    expect(interpolateLinear(table, [-1, 2, 1])).toEqual([0, 1, 1]);
  });
  it('goes before the 3D table of the same file', () => {
    const inverted = lattice(2, ([r, g, b]) => [1 - r, 1 - g, 1 - b]);
    const cube = { title: null, comments: [], curve: table, cube: inverted };
    expect(applyCube(cube, [0.25, 0.25, 0.75])).toEqual([0.75, 0.5, 0.375]);
  });
});
