import type { Vector3 } from '../matrix3.js';
import { type LutTable, placeInDomain, rowOf } from './cube.js';

/**
 * Applies a 3D table to a colour by tetrahedral interpolation: each cell of the lattice is divided into six
 * tetrahedra along its grey diagonal, and the colour is interpolated from the four corners of its
 * tetrahedron. Greys are interpolated from greys only, and linear maps are exact. Input is limited to the
 * domain of the table.
 */
export function interpolateTetrahedral(table: LutTable, colour: Vector3): Vector3 {
  const { size, domainMin, domainMax } = table;
  const last = size - 1;
  const x = placeInDomain(colour[0], domainMin[0], domainMax[0]) * last;
  const y = placeInDomain(colour[1], domainMin[1], domainMax[1]) * last;
  const z = placeInDomain(colour[2], domainMin[2], domainMax[2]) * last;
  const x0 = Math.min(Math.floor(x), last - 1);
  const y0 = Math.min(Math.floor(y), last - 1);
  const z0 = Math.min(Math.floor(z), last - 1);
  const origin = x0 + size * (y0 + size * z0);
  // Walk from the cell's black corner to its white one, along the axis with the largest fraction first.
  const axes = [
    { fraction: x - x0, stride: 1 },
    { fraction: y - y0, stride: size },
    { fraction: z - z0, stride: size * size },
  ].sort((a, b) => b.fraction - a.fraction);
  let corner = origin;
  let [r, g, b]: Vector3 = [0, 0, 0];
  let remaining = 1;
  for (const { fraction, stride } of axes) {
    const row = rowOf(table, corner);
    const weight = remaining - fraction;
    r += weight * row[0];
    g += weight * row[1];
    b += weight * row[2];
    remaining = fraction;
    corner += stride;
  }
  const row = rowOf(table, corner);
  return [r + remaining * row[0], g + remaining * row[1], b + remaining * row[2]];
}
