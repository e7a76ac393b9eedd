import { MOST_RUNS } from '../../../jobs/measurement/measured-sound.js';

/** Samples per channel from the start, half open. */
export interface SampleRun {
  readonly from: number;
  readonly to: number;
}

/**
 * Counts runs and keeps the longest ones, so that memory does not grow with the programme and the question
 * "is any longer than x" still has its exact answer. Of equally long runs the earlier stay.
 */
export class LongestRuns<T extends SampleRun> {
  readonly #kept: T[] = [];
  count = 0;

  add(run: T): void {
    this.count++;
    if (this.#kept.length < MOST_RUNS) {
      this.#kept.push(run);
      return;
    }
    let shortest = 0;
    let length = Number.POSITIVE_INFINITY;
    this.#kept.forEach(({ from, to }, index) => {
      if (to - from > length) return;
      length = to - from;
      shortest = index;
    });
    if (run.to - run.from <= length) return;
    this.#kept.splice(shortest, 1);
    this.#kept.push(run);
  }

  /** In order of time. */
  get longest(): T[] {
    return [...this.#kept];
  }
}
