import { SHORT_BITS } from '../../plan/step-bits';
import { Frame, Job } from '../records';
import { blueOf, chromaAt, greenOf, redOf } from './chroma';
import { countDisplayed } from './displayed-light';
import { noteExtremes } from './extremes';
import { bumpEight, countEightPairs } from './histogram';
import { judgeShared, noteShared } from './light';
import { addMarks } from './marks';
import { countScene } from './scene-light';
import { splats } from './splats';
import { highestOfFour, highestSigned, lowestOfFour, lowestSigned } from './vectors';

// Rows of Y'CbCr where two pixels share their chroma. The difference of their R', G' and B' is that of their
// luma: the larger luma of a pair decides its maximum, the smaller its minimum. Sums are first taken in short
// steps, eight pairs at a time; a short sum is less than one short step off (half of one for its rounding, an
// eighth for each factor's). What needs the exact one is done again where it matters.

/** More than a short sum may be off. */
const SLACK: i32 = 1;

export function openSharedRows(frame: Frame): void {
  frame.mostShort = i32.MIN_VALUE;
  frame.leastShort = i32.MAX_VALUE;
}

/** Eight samples of chroma from their neutral code, as far up as 16 bits let them. */
export function shortChroma(codes: usize): v128 {
  const eight = i16x8.min_u(v128.load(codes), splats.topCodes);
  return i16x8.mul(i16x8.sub(eight, splats.neutrals), splats.chromaUps);
}

/** What chroma gives R' or B', whose factor lies between 1 and 2: `factors` is what it has above 1. */
export function shortShare(chroma: v128, factors: v128): v128 {
  return i16x8.add(chroma, i16x8.q15mulr_sat_s(chroma, factors));
}

/** What both give G', rounded once. */
export function shortGreenShare(cb: v128, cr: v128): v128 {
  const half = i32x4.splat(1 << 14);
  const left = v128.shuffle<i16>(cb, cr, 0, 8, 1, 9, 2, 10, 3, 11);
  const right = v128.shuffle<i16>(cb, cr, 4, 12, 5, 13, 6, 14, 7, 15);
  return i16x8.narrow_i32x4_s(
    i32x4.shr_s(i32x4.add(i32x4.dot_i16x8_s(left, splats.toGreens), half), 15),
    i32x4.shr_s(i32x4.add(i32x4.dot_i16x8_s(right, splats.toGreens), half), 15),
  );
}

/**
 * Luma, extremes, marks, light and, if `counted`, R', G', B' of the first `whole` pixels of the open row,
 * `y`, a multiple of 16.
 */
export function measureSharedRow(job: Job, y: i32, whole: i32, counted: bool): void {
  const frame = job.frame;
  const light = job.light;
  const histograms = job.histograms;
  const lumaCounts = histograms.luma.counts;
  const lumaPairs = histograms.luma.pairs;
  const redCounts = histograms.red.counts;
  const greenCounts = histograms.green.counts;
  const blueCounts = histograms.blue.counts;
  const lightCounts = job.light.counts;
  const rgbShift = job.picture.codeShift - SHORT_BITS;
  const low16 = i32x4.splat(0xffff);
  const limitHigh = i16x8.splat(<i16>job.limits.shortHigh);
  const limitLow = i16x8.splat(<i16>job.limits.shortLow);
  // Bins are a short step wide with whole ones in their middle: half a bin further up lies black.
  const lightFrom = i16x8.splat(<i16>((light.from + (1 << (SHORT_BITS - 1))) >> SHORT_BITS));
  const kind = light.kind;
  const testsP3 = job.p3.isTested !== 0;
  const row = frame.mainRow;
  const cbs = frame.cbRow;
  const crs = frame.crRow;
  let first = -1;
  let last = -1;
  let most = i16x8.splat(i16.MIN_VALUE);
  let least = i16x8.splat(i16.MAX_VALUE);
  for (let x = 0; x < whole; x += 16) {
    const at = row + ((<usize>x) << 1);
    const cb = shortChroma(cbs + <usize>x);
    const cr = shortChroma(crs + <usize>x);
    const red = shortShare(cr, splats.crToReds);
    const green = shortGreenShare(cb, cr);
    const blue = shortShare(cb, splats.cbToBlues);
    const above = i16x8.max_s(i16x8.max_s(red, green), blue);
    const below = i16x8.min_s(i16x8.min_s(red, green), blue);
    const left = i16x8.min_u(v128.load(at), splats.topCodes);
    const right = i16x8.min_u(v128.load(at, 16), splats.topCodes);
    const even = i16x8.narrow_i32x4_u(v128.and(left, low16), v128.and(right, low16));
    const odd = i16x8.narrow_i32x4_u(i32x4.shr_u(left, 16), i32x4.shr_u(right, 16));
    countEightPairs(lumaCounts, lumaPairs, even, odd);
    if (counted) {
      bumpEight(redCounts, i16x8.add(even, places(red, rgbShift)));
      bumpEight(greenCounts, i16x8.add(even, places(green, rgbShift)));
      bumpEight(blueCounts, i16x8.add(even, places(blue, rgbShift)));
    }
    const darker = i16x8.add(i16x8.mul(i16x8.min_u(even, odd), splats.codeShorts), below);
    const high = i16x8.add(i16x8.mul(i16x8.max_u(even, odd), splats.codeShorts), above);
    most = i16x8.max_s(most, high);
    least = i16x8.min_s(least, darker);
    if (v128.any_true(v128.or(i16x8.gt_s(high, limitHigh), i16x8.lt_s(darker, limitLow)))) {
      if (first < 0) first = x;
      last = x + 15;
    }
    if (kind !== 0) {
      const first = i16x8.mul(even, splats.codeShorts);
      if (kind === 1) {
        const from = i16x8.sub(above, lightFrom);
        bumpEight(lightCounts, shortLightBins(first, from));
        bumpEight(lightCounts, shortLightBins(i16x8.mul(odd, splats.codeShorts), from));
      } else if (kind === 2) {
        const second = i16x8.mul(odd, splats.codeShorts);
        countDisplayed(light, i16x8.add(first, red), i16x8.add(first, green), i16x8.add(first, blue));
        countDisplayed(light, i16x8.add(second, red), i16x8.add(second, green), i16x8.add(second, blue));
        if (v128.any_true(i16x8.gt_s(high, i16x8.splat(<i16>frame.brightShort)))) {
          noteShared(job, x);
          noteShared(job, x + 8);
        }
      } else {
        countScene(light, rgbShift, i16x8.add(first, red), i16x8.add(first, green), i16x8.add(first, blue));
      }
      if (testsP3) {
        // The darker pixel of a pair has less allowed to it.
        const most = i16x8.add(darker, i16x8.sub(above, below));
        const far = v128.or(
          v128.or(
            tooFar(most, i16x8.sub(above, red), splats.baseReds, splats.slopeReds, splats.capReds),
            tooFar(most, i16x8.sub(above, green), splats.baseGreens, splats.slopeGreens, splats.capGreens),
          ),
          tooFar(most, i16x8.sub(above, blue), splats.baseBlues, splats.slopeBlues, splats.capBlues),
        );
        const found = i16x8.bitmask(far);
        if ((found & 15) !== 0) judgeShared(job, x);
        if (found > 15) judgeShared(job, x + 8);
      }
    }
  }
  addMarks(job.scratch, y, first, last);
  const high = highestSigned(most);
  const low = lowestSigned(least);
  store<i16>(job.scratch.shortMost + ((<usize>y) << 1), <i16>high);
  store<i16>(job.scratch.shortLeast + ((<usize>y) << 1), <i16>low);
  frame.mostShort = max(frame.mostShort, high);
  frame.leastShort = min(frame.leastShort, low);
}

/** Bins of black pixels with these shares; a bin is 2^`shift` short steps wide. */
function places(shares: v128, shift: i32): v128 {
  return i16x8.shr_s(i16x8.sub(shares, splats.rgbFroms), shift);
}

/** Bins of PQ light, a short step each. */
function shortLightBins(luma: v128, above: v128): v128 {
  return i16x8.max_s(i16x8.min_s(i16x8.add(luma, above), splats.lightLasts), i16x8.splat(0));
}

/** Whether a channel lies so far below the largest, `most`, that it may be outside P3. */
function tooFar(most: v128, spread: v128, base: v128, slope: v128, cap: v128): v128 {
  const allowed = i16x8.add_sat_s(base, i16x8.q15mulr_sat_s(most, slope));
  return i16x8.gt_s(spread, i16x8.min_s(allowed, cap));
}

/**
 * Whether the row may hold the largest or the smallest exact sum of the frame, once all rows are measured.
 */
export function mayHoldExtremes(job: Job, y: i32): bool {
  const at = (<usize>y) << 1;
  return (
    <i32>load<i16>(job.scratch.shortMost + at) >= job.frame.mostShort - 2 * SLACK ||
    <i32>load<i16>(job.scratch.shortLeast + at) <= job.frame.leastShort + 2 * SLACK
  );
}

/** Notes the exact extremes of the first `whole` pixels of the open row. */
export function exactExtremes(job: Job, whole: i32): void {
  const mainRow = job.frame.mainRow;
  const cbRow = job.frame.cbRow;
  const crRow = job.frame.crRow;
  const low16 = i32x4.splat(0xffff);
  const scale = splats.codeSteps4;
  let most = i32x4.splat(i32.MIN_VALUE);
  let least = i32x4.splat(i32.MAX_VALUE);
  for (let x = 0; x < whole; x += 8) {
    const codes = i16x8.min_u(v128.load(mainRow + ((<usize>x) << 1)), splats.topCodes);
    const cb = chromaAt(cbRow + <usize>x);
    const cr = chromaAt(crRow + <usize>x);
    const red = redOf(cr);
    const green = greenOf(cb, cr);
    const blue = blueOf(cb);
    const even = v128.and(codes, low16);
    const odd = i32x4.shr_u(codes, 16);
    const above = i32x4.max_s(i32x4.max_s(red, green), blue);
    const below = i32x4.min_s(i32x4.min_s(red, green), blue);
    most = i32x4.max_s(most, i32x4.add(i32x4.mul(i32x4.max_s(even, odd), scale), above));
    least = i32x4.min_s(least, i32x4.add(i32x4.mul(i32x4.min_s(even, odd), scale), below));
  }
  noteExtremes(job.results, lowestOfFour(least), highestOfFour(most));
}
