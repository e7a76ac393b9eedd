import { Results } from '../records';

/** Before the first row of a frame. */
export function openExtremes(results: Results): void {
  results.leastStep = i32.MAX_VALUE;
  results.mostStep = i32.MIN_VALUE;
}

/** Takes the least and the most of some pixels, in steps, into those of the frame. */
export function noteExtremes(results: Results, least: i32, most: i32): void {
  results.leastStep = min(results.leastStep, least);
  results.mostStep = max(results.mostStep, most);
}
