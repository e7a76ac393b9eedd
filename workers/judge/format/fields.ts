import type { FrameRange } from '../../../jobs/measurement/measurement.js';

/** Places of a measurement, of which only the longest are listed. */
interface Places {
  readonly places: number;
  readonly ranges: readonly FrameRange[];
}

/** Whether every place is listed; if not, the others may miss too. */
export function allListed(...lists: readonly Places[]): boolean {
  return lists.every(({ places, ranges }) => places === ranges.length);
}

export const NOT_ALL_LISTED = 'there are many places, and only the longest are listed';

export const distinct = <T>(values: readonly T[]): T[] => [...new Set(values)];
