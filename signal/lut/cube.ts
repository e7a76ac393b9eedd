import type { Vector3 } from '../matrix3.js';

/**
 * One table of a `.cube`. Input is limited to the domain, as the format defines; output is not limited.
 * Values are R, G, B interleaved, `size` rows for a 1D table and `size^3` rows, red fastest, for a 3D table.
 */
export interface LutTable {
  readonly size: number;
  readonly domainMin: Vector3;
  readonly domainMax: Vector3;
  readonly values: Float64Array;
}

/** A `.cube` file: a 1D table, a 3D table, or a 1D table that shapes the input of the 3D one. */
export interface Cube {
  readonly title: string | null;
  /** Without the leading `#`. */
  readonly comments: readonly string[];
  readonly curve: LutTable | null;
  readonly cube: LutTable | null;
}

export const UNIT_DOMAIN = {
  domainMin: [0, 0, 0],
  domainMax: [1, 1, 1],
} as const satisfies Partial<LutTable>;

/** Row `index` of a table. A row outside the table is a bug of the caller: RangeError. */
export function rowOf(table: LutTable, index: number): Vector3 {
  const { values } = table;
  const r = values[index * 3];
  const g = values[index * 3 + 1];
  const b = values[index * 3 + 2];
  if (r === undefined || g === undefined || b === undefined) {
    throw new RangeError(`row ${index} of a table with ${values.length / 3} rows`);
  }
  return [r, g, b];
}

/** Position of a value in the domain, 0..1, limited to it. NaN counts as the lower end. */
export function placeInDomain(value: number, min: number, max: number): number {
  const place = (value - min) / (max - min);
  return place > 0 ? Math.min(place, 1) : 0;
}
