/** Frames `[from, to)`. */
export interface Run {
  readonly from: number;
  readonly to: number;
}

export function lengthOf({ from, to }: Run): number {
  return to - from;
}

export function framesIn(runs: readonly Run[]): number {
  return runs.reduce((sum, run) => sum + lengthOf(run), 0);
}

/**
 * Places of one kind that are listed in a measurement. More would drown a report; their number is always
 * told.
 */
export const LISTED = 500;

/** The longest runs (the earlier of equals), in order of time. */
export function longest<R extends Run>(runs: readonly R[], most = LISTED): R[] {
  if (runs.length <= most) return [...runs];
  return [...runs]
    .sort((a, b) => lengthOf(b) - lengthOf(a) || a.from - b.from)
    .slice(0, most)
    .sort((a, b) => a.from - b.from);
}

/** A value of a column; NaN outside it. */
export function at(column: Float64Array, frame: number): number {
  return column[frame] ?? Number.NaN;
}
