/**
 * Ten milliseconds of one channel, or less at the end of the stream. The samples lie in `samples[from, end)`;
 * what is before `from` is the past that a true-peak interpolator needs.
 */
export interface Hop {
  readonly samples: Float64Array;
  readonly from: number;
  readonly end: number;
  /** Largest magnitude among the samples. */
  readonly peak: number;
}
