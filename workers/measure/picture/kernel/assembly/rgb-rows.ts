import { Job } from '../records';
import { noteExtremes } from './extremes';
import { countSixteen } from './histogram';
import { countLight, judgeFour, mayLeaveP3 } from './light';
import { addMarks } from './marks';
import { splats } from './splats';
import { highest, lowest } from './vectors';

/**
 * RGB: the planes are the channels, and codes are their bins. The first `whole` pixels of the open row, a
 * multiple of 16.
 */
export function rgbSixteens(job: Job, y: i32, whole: i32): void {
  const frame = job.frame;
  const mainRow = frame.mainRow;
  const cbRow = frame.cbRow;
  const crRow = frame.crRow;
  const histograms = job.histograms;
  const redCounts = histograms.red.counts;
  const greenCounts = histograms.green.counts;
  const blueCounts = histograms.blue.counts;
  const redPairs = histograms.red.pairs;
  const greenPairs = histograms.green.pairs;
  const bluePairs = histograms.blue.pairs;
  const shift = job.picture.codeShift;
  const limitHigh = i16x8.splat(<i16>min(max(job.limits.high >> shift, 0), 0xffff));
  const limitLow = i16x8.splat(<i16>max(-(-job.limits.low >> shift), 0));
  const absolute = job.light.kind === 1;
  const top = splats.topCodes;
  let most = i16x8.splat(0);
  let least = i16x8.splat(-1);
  let first = -1;
  let last = -1;
  for (let x = 0; x < whole; x += 16) {
    const at = (<usize>x) << 1;
    const greens = i16x8.min_u(v128.load(mainRow + at), top);
    const blues = i16x8.min_u(v128.load(cbRow + at), top);
    const reds = i16x8.min_u(v128.load(crRow + at), top);
    const greens2 = i16x8.min_u(v128.load(mainRow + at, 16), top);
    const blues2 = i16x8.min_u(v128.load(cbRow + at, 16), top);
    const reds2 = i16x8.min_u(v128.load(crRow + at, 16), top);
    countSixteen(greenCounts, greenPairs, greens, greens2);
    countSixteen(blueCounts, bluePairs, blues, blues2);
    countSixteen(redCounts, redPairs, reds, reds2);
    const above = i16x8.max_u(i16x8.max_u(greens, blues), reds);
    const below = i16x8.min_u(i16x8.min_u(greens, blues), reds);
    const above2 = i16x8.max_u(i16x8.max_u(greens2, blues2), reds2);
    const below2 = i16x8.min_u(i16x8.min_u(greens2, blues2), reds2);
    const high = i16x8.max_u(above, above2);
    const low = i16x8.min_u(below, below2);
    most = i16x8.max_u(most, high);
    least = i16x8.min_u(least, low);
    if (v128.any_true(v128.or(i16x8.gt_u(high, limitHigh), i16x8.lt_u(low, limitLow)))) {
      if (first < 0) first = x;
      last = x + 15;
    }
    if (absolute) {
      rgbLight(job, above, reds, greens, blues);
      rgbLight(job, above2, reds2, greens2, blues2);
    }
  }
  if (whole > 0) noteExtremes(job.results, lowest(least) << shift, highest(most) << shift);
  addMarks(job.scratch, y, first, last);
}

/** PQ: eight pixels of RGB by light and P3, from their codes and the largest of them. */
function rgbLight(job: Job, above: v128, reds: v128, greens: v128, blues: v128): void {
  rgbFour(
    job,
    i32x4.extend_low_i16x8_u(above),
    i32x4.extend_low_i16x8_u(reds),
    i32x4.extend_low_i16x8_u(greens),
    i32x4.extend_low_i16x8_u(blues),
  );
  rgbFour(
    job,
    i32x4.extend_high_i16x8_u(above),
    i32x4.extend_high_i16x8_u(reds),
    i32x4.extend_high_i16x8_u(greens),
    i32x4.extend_high_i16x8_u(blues),
  );
}

function rgbFour(job: Job, above: v128, reds: v128, greens: v128, blues: v128): void {
  countLight(job.light.counts, above, splats.zeroBins4);
  if (job.p3.isTested === 0) return;
  const r = inSteps(reds);
  const g = inSteps(greens);
  const b = inSteps(blues);
  if (mayLeaveP3(inSteps(above), r, g, b)) judgeFour(job, r, g, b, 4);
}

function inSteps(codes: v128): v128 {
  return i32x4.mul(codes, splats.codeSteps4);
}
