import type { FrameRange } from '../../../jobs/measurement/measurement.js';
import { count } from '../../../jobs/words/numbers.js';
import { lengthOf } from '../../measure/picture/temporal/frames-in-runs.js';
import { plainRange } from '../place.js';
import { met, missed, missedOnlyAt, type Ruling, unmeasured } from '../ruling.js';

/** Places of a measurement, of which only the longest are listed. */
interface Places {
  readonly places: number;
  readonly ranges: readonly FrameRange[];
}

interface Words {
  /** What one of the places is called. */
  readonly what: string;
  /** What was measured where no place misses. */
  readonly none: string;
  readonly detail?: string;
}

/** Rules on the places that miss; an incomplete list cannot prove that there is none. */
export function rulePlaces(bad: readonly FrameRange[], all: Places, { what, none, detail }: Words): Ruling {
  const unlisted = all.places - all.ranges.length;
  const at = bad.map(plainRange);
  if (bad.length === 0) return unlisted === 0 ? met(none) : unmeasured(onlyLongestListed(all));
  const length = `the longest of ${count(Math.max(...bad.map(lengthOf)), 'frame')}`;
  const measured = `${count(bad.length, what)}, ${length}${detail === undefined ? '' : `, ${detail}`}`;
  return unlisted === 0 ? missedOnlyAt(at, measured) : missed(`${measured}, and more`, { at });
}

export function onlyLongestListed({ places, ranges }: Places): string {
  return `only the ${ranges.length} longest of ${places} places are listed`;
}
