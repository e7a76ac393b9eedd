import type { Vector3 } from '../matrix3.js';
import { type Cube, type LutTable, placeInDomain, rowOf } from './cube.js';
import { interpolateTetrahedral } from './tetrahedral.js';

/**
 * Applies a 1D table to a colour, one column per channel. Input is limited to the domain of the table.
 */
export function interpolateLinear(table: LutTable, colour: Vector3): Vector3 {
  return [channelOf(table, colour, 0), channelOf(table, colour, 1), channelOf(table, colour, 2)];
}

function channelOf(table: LutTable, colour: Vector3, channel: 0 | 1 | 2): number {
  const last = table.size - 1;
  const at = placeInDomain(colour[channel], table.domainMin[channel], table.domainMax[channel]) * last;
  const low = Math.min(Math.floor(at), last - 1);
  const from = rowOf(table, low)[channel];
  return from + (at - low) * (rowOf(table, low + 1)[channel] - from);
}

/** Applies a whole `.cube` to a colour: the 1D table, then the 3D one. */
export function applyCube(cube: Cube, colour: Vector3): Vector3 {
  const shaped = cube.curve ? interpolateLinear(cube.curve, colour) : colour;
  return cube.cube ? interpolateTetrahedral(cube.cube, shaped) : shaped;
}
