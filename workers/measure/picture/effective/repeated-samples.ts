import { WINDOW } from './fft64.js';

/** Steps from sample to sample within a window. */
const STEPS = WINDOW - 1;
/** Entries for windows that begin at the same place: their number, then the sum of each step. */
const PLACE_LENGTH = 1 + STEPS;

/**
 * A step below this fraction of the steps around it counts as none: the sample repeats the previous one.
 */
const NO_STEP = 0.2;
/** Number of steps on each side. */
const REACH = 4;
/** Least number of windows at one place: with fewer, samples could be equal by chance. */
const LEAST_WINDOWS = 12;
/** Fraction of repeated samples from which a picture counts as scaled up: 10 % is a scaling by 1.11. */
const LEAST_SHARE = 0.1;
/** Fraction that genuine pictures may have by chance: a vertical edge of flat colour. */
const BY_CHANCE = 0.01;

export const repeatsLength = (places: number): number => places * PLACE_LENGTH;

/**
 * Sums of the steps from each sample to the next, over windows that begin at the same places of the raster,
 * as integers in a section of a Float64Array: for each place the windows that count, then the sum of each of
 * its 63 steps.
 */
export class RepeatSums {
  constructor(readonly sums: Float64Array) {}

  /**
   * @param place number of the window's first sample among the places, from 0. A window without detail does
   * not count.
   */
  add(place: number, window: Float64Array): void {
    const at = place * PLACE_LENGTH;
    let moving = 0;
    for (let i = 0; i < STEPS; i++) if (window[i] !== window[i + 1]) moving++;
    if (moving < WINDOW / 4) return;
    this.sums[at] = (this.sums[at] ?? 0) + 1;
    for (let i = 0; i < STEPS; i++) {
      const step = Math.round(Math.abs((window[i + 1] ?? 0) - (window[i] ?? 0)));
      this.sums[at + 1 + i] = (this.sums[at + 1 + i] ?? 0) + step;
    }
  }
}

/**
 * Fraction of the samples of a line that repeat the previous one, as after nearest-neighbour upscaling: 1 / 5
 * for a scaling by 5/4. Such a picture has detail up to the end of the band, and not the images of a smooth
 * filter.
 *
 * @returns `share` 0 where none are; null where there is too little detail, or where some are and it is not
 * clear what that means
 */
export function repeatedShare(sums: Float64Array): number | null {
  let steps = 0;
  let repeated = 0;
  let alone = 0;
  for (let at = 0; at < sums.length; at += PLACE_LENGTH) {
    if ((sums[at] ?? 0) < LEAST_WINDOWS) continue;
    const place = sums.subarray(at + 1, at + PLACE_LENGTH);
    const none = Array.from(place, (_, i) => isNone(place, i));
    steps += STEPS;
    repeated += none.filter(Boolean).length;
    alone += none.filter((is, i) => is && !none[i - 1] && !none[i + 1]).length;
  }
  if (steps === 0) return null;
  const share = repeated / steps;
  if (share <= BY_CHANCE) return 0;
  // With scaling by less than 2, no two repeated samples are adjacent; scaling by 2 or more leaves images
  // too.
  return share >= LEAST_SHARE && alone >= 0.9 * repeated ? simplestNear(share) : null;
}

/**
 * Steps within pairs of lines, against those between pairs, below which the lines come in pairs, below which
 * they may under coarse coding, which wears pairs away, and below which so little is left of pairs that they
 * still look like fields that move up or down, but never hide that a picture is progressive.
 */
const WITHIN_PAIRS = 0.3;
const PERHAPS_PAIRS = 0.65;
const WORN_PAIRS = 0.85;

/** See linesInPairs. */
export type LinesInPairs = 'yes' | 'perhaps' | 'worn' | 'no';

/**
 * Whether each line of a picture is there twice, as where half the lines were doubled: steps from an even
 * line to the next are then none, or those from an odd one. So are those of fields while all moves up or down
 * by about a line a field, and no frame shows which of the two it is. All windows begin on an even line.
 */
export function linesInPairs(sums: Float64Array): LinesInPairs {
  let windows = 0;
  const steps = [0, 0];
  for (let at = 0; at < sums.length; at += PLACE_LENGTH) {
    windows += sums[at] ?? 0;
    for (let i = 0; i < STEPS; i++) steps[i & 1] = (steps[i & 1] ?? 0) + (sums[at + 1 + i] ?? 0);
  }
  if (windows < LEAST_WINDOWS) return 'no';
  const share = Math.min(...steps) / Math.max(...steps);
  if (share < WITHIN_PAIRS) return 'yes';
  if (share < PERHAPS_PAIRS) return 'perhaps';
  return share < WORN_PAIRS ? 'worn' : 'no';
}

/** Windows of 63 steps do not contain whole periods: the fraction may be off by this much. */
const OFF = 0.012;

/** The fraction with the smallest denominator within that error: rasters have simple ratios. */
function simplestNear(share: number): number {
  for (let whole = 1; whole <= WINDOW; whole++) {
    const near = Math.round(share * whole) / whole;
    if (Math.abs(near - share) <= OFF) return near;
  }
  return share;
}

function isNone(steps: Float64Array, at: number): boolean {
  const near: number[] = [];
  for (let i = Math.max(0, at - REACH); i <= Math.min(steps.length - 1, at + REACH); i++) {
    if (i !== at) near.push(steps[i] ?? 0);
  }
  near.sort((a, b) => a - b);
  // Up to half of the steps around it may be none too.
  const usual = near[Math.floor(near.length * 0.75)] ?? 0;
  return (steps[at] ?? 0) < NO_STEP * usual;
}
