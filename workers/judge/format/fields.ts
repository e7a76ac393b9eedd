import type { FrameRange } from '../../../jobs/measurement/measurement.js';

/** Places of a measurement, of which only the longest are listed. */
interface Places {
  readonly places: number;
  readonly ranges: readonly FrameRange[];
}

/** Whether every place is listed; if not, it is not known whether the others miss. */
export function isWhole(...lists: readonly Places[]): boolean {
  return lists.every(({ places, ranges }) => places === ranges.length);
}

export const NOT_WHOLE = 'only the longest of many places are known one by one';

export const distinct = <T>(values: readonly T[]): T[] => [...new Set(values)];
