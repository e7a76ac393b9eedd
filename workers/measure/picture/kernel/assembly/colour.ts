import { PQ_BIN_BITS, SHORT_BITS } from '../../plan/step-bits';
import { Job, Results } from '../records';
import { blueOf, chromaAt, greenOf, redOf } from './chroma';
import { bump, bumpFour, countSixteen } from './histogram';
import { absoluteSpan, judgeFour } from './light';
import { shortSpan } from './light-rows';
import { addMarks, clearMarks } from './marks';
import { blueOfPixel, greenOfPixel, loadShort, openRow, redOfPixel } from './pixels';
import { exactExtremes, mayHoldExtremes, measureSharedRow, openSharedRows } from './shared-rows';
import { splats } from './splats';
import { channelBytes, fillSteps } from './steps';
import { highest, highestOfFour, lowest, lowestOfFour } from './vectors';

export function openColour(job: Job): void {
  job.results.leastStep = i32.MAX_VALUE;
  job.results.mostStep = i32.MIN_VALUE;
  openSharedRows(job.frame);
}

function noteExtremes(results: Results, least: i32, most: i32): void {
  results.leastStep = min(results.leastStep, least);
  results.mostStep = max(results.mostStep, most);
}

/**
 * Counts the open row, `y`, by R', G', B' and, for Y'CbCr and grey, by luma; notes extremes and marks; PQ
 * light on the way.
 */
export function measureColour(job: Job, y: i32): void {
  const picture = job.picture;
  const width = picture.width;
  // Two rows of eight: both fields. RGB pictures are counted whole, since their histograms are the samples
  // themselves.
  const counted = picture.model === 1 || (y & 7) < 2;
  clearMarks(job.scratch, y);
  if (job.rgb.isCounted === 0) {
    countLuma(job, 0);
    return;
  }
  let done = 0;
  if (job.shortMatrix.isUsed !== 0) {
    done = width & ~15;
    measureSharedRow(job, y, done, counted);
  } else if (hasCodeBins(job)) {
    // Bins wider than a code do not split into luma and chroma; 4:1:1 and grey are rare and small.
    if (picture.model === 1) {
      done = width & ~15;
      rgbSixteens(job, y, done);
    } else if (picture.model === 0 && picture.chromaShiftX === 0) {
      done = width & ~3;
      ownFours(job, y, done, counted);
    }
  }
  singles(job, y, done, counted);
}

/** Whether a bin of R', G', B' is a code wide, and one of PQ light no wider. */
function hasCodeBins(job: Job): bool {
  const shift = job.picture.codeShift;
  return job.rgb.shift === shift && (job.light.kind !== 1 || PQ_BIN_BITS <= shift);
}

/** After the last row: what the rows have left open. */
export function closeColour(job: Job): void {
  const whole = job.picture.width & ~15;
  if (job.shortMatrix.isUsed === 0 || whole === 0) return;
  for (let y = 0; y < job.picture.height; y++) {
    if (!mayHoldExtremes(job, y)) continue;
    openRow(job, y);
    exactExtremes(job, whole);
  }
}

/** The pixels of the open row from `from` on by luma. */
function countLuma(job: Job, from: i32): void {
  const row = job.frame.mainRow;
  const counts = job.histograms.luma.counts;
  const top = job.picture.topCode;
  for (let x = from; x < job.picture.width; x++) {
    bump(counts, min(<i32>load<u16>(row + ((<usize>x) << 1)), top));
  }
}

/** A pixel of these steps by R', G' and B'. */
function countColours(job: Job, red: i32, green: i32, blue: i32): void {
  const histograms = job.histograms;
  const from = job.rgb.from;
  const shift = job.rgb.shift;
  bump(histograms.red.counts, (red - from) >> shift);
  bump(histograms.green.counts, (green - from) >> shift);
  bump(histograms.blue.counts, (blue - from) >> shift);
}

/** The same by its short sums. */
function countShortColours(job: Job, y: i32, x: i32): void {
  const steps = i32x4.shl(loadShort(job, y, x), SHORT_BITS);
  countColours(job, redOfPixel(steps), greenOfPixel(steps), blueOfPixel(steps));
}

/** The pixels of the open row, `y`, from `from` on, one by one. */
function singles(job: Job, y: i32, from: i32, counted: bool): void {
  const width = job.picture.width;
  if (from === width) return;
  const every = job.rgb.every;
  const isShort = job.shortMatrix.isUsed !== 0;
  const limitLow = job.limits.low;
  const limitHigh = job.limits.high;
  const channel = channelBytes(job.picture);
  const reds = job.scratch.padded;
  const greens = reds + channel;
  const blues = greens + channel;
  fillSteps(job, y, from, width, 0, reds);
  if (job.picture.model !== 1) countLuma(job, from);
  let least = i32.MAX_VALUE;
  let most = i32.MIN_VALUE;
  let first = -1;
  let last = -1;
  for (let x = from; x < width; x++) {
    const at = (<usize>x) << 2;
    const red = load<i32>(reds + at);
    const green = load<i32>(greens + at);
    const blue = load<i32>(blues + at);
    if (counted && x % every === 0) {
      if (isShort) countShortColours(job, y, x);
      else countColours(job, red, green, blue);
    }
    const high = max(max(red, green), blue);
    const low = min(min(red, green), blue);
    least = min(least, low);
    most = max(most, high);
    if (high > limitHigh || low < limitLow) {
      if (first < 0) first = x;
      last = x;
    }
  }
  noteExtremes(job.results, least, most);
  addMarks(job.scratch, y, first, last);
  if (job.light.kind === 1) absoluteSpan(job, y, from, width);
  else if (job.light.kind > 1 && isShort) shortSpan(job, y, from, width);
}

/**
 * Whether one of the four pixels has a channel so far below the largest that it may be outside P3. All in
 * steps.
 */
function colourful(most: v128, red4: v128, green4: v128, blue4: v128): bool {
  const most64 = i32x4.shr_s(most, 6);
  const far = v128.or(
    v128.or(
      tooFar(most64, i32x4.sub(most, red4), splats.baseReds4, splats.slopeReds4, splats.capReds4),
      tooFar(most64, i32x4.sub(most, green4), splats.baseGreens4, splats.slopeGreens4, splats.capGreens4),
    ),
    tooFar(most64, i32x4.sub(most, blue4), splats.baseBlues4, splats.slopeBlues4, splats.capBlues4),
  );
  return v128.any_true(far);
}

function tooFar(most64: v128, spread: v128, base: v128, slope: v128, cap: v128): v128 {
  const allowed = i32x4.add(base, i32x4.shr_s(i32x4.mul(most64, slope), 12));
  return i32x4.gt_s(i32x4.shr_s(spread, 6), i32x4.min_s(allowed, cap));
}

/** PQ: four pixels by light. `codes` are luma or the largest channel's, `bins` what comes on top. */
function countLight(counts: usize, codes: v128, bins: v128): void {
  const lit = i32x4.add(i32x4.mul(codes, splats.codeBins4), bins);
  const held = i32x4.max_s(i32x4.min_s(lit, splats.lightLasts4), i32x4.splat(0));
  bumpFour(counts, i32x4.shl(held, 2));
}

/** Bins of light of black pixels that get `above` on top. */
function lightBins(above: v128): v128 {
  return i32x4.shr_s(i32x4.sub(above, splats.lightFroms4), PQ_BIN_BITS);
}

/** Where the counters of black pixels with these steps lie, in bytes. */
function places(steps: v128, from: v128, shift: i32): v128 {
  return i32x4.shl(i32x4.shr_s(i32x4.sub(steps, from), shift), 2);
}

/** Y'CbCr where every pixel has its own chroma: the first `whole` pixels of the open row, a multiple of 4. */
function ownFours(job: Job, y: i32, whole: i32, counted: bool): void {
  const frame = job.frame;
  const mainRow = frame.mainRow;
  const cbRow = frame.cbRow;
  const crRow = frame.crRow;
  const histograms = job.histograms;
  const lumaCounts = histograms.luma.counts;
  const redCounts = histograms.red.counts;
  const greenCounts = histograms.green.counts;
  const blueCounts = histograms.blue.counts;
  const lightCounts = job.light.counts;
  const shift = job.picture.codeShift;
  const scale = splats.codeSteps4;
  const rgbFrom = i32x4.splat(job.rgb.from);
  const limitHigh = i32x4.splat(job.limits.high);
  const limitLow = i32x4.splat(job.limits.low);
  const absolute = job.light.kind === 1;
  const testsP3 = absolute && job.p3.isTested !== 0;
  let most = i32x4.splat(i32.MIN_VALUE);
  let least = i32x4.splat(i32.MAX_VALUE);
  let first = -1;
  let last = -1;
  for (let x = 0; x < whole; x += 4) {
    const at = (<usize>x) << 1;
    const codes = i32x4.min_s(v128.load_ext<u16>(mainRow + at), splats.topCodes4);
    const cb = chromaAt(cbRow + at);
    const cr = chromaAt(crRow + at);
    const red4 = redOf(cr);
    const green4 = greenOf(cb, cr);
    const blue4 = blueOf(cb);
    const place = i32x4.shl(codes, 2);
    bumpFour(lumaCounts, place);
    if (counted) {
      bumpFour(redCounts, i32x4.add(place, places(red4, rgbFrom, shift)));
      bumpFour(greenCounts, i32x4.add(place, places(green4, rgbFrom, shift)));
      bumpFour(blueCounts, i32x4.add(place, places(blue4, rgbFrom, shift)));
    }
    const above = i32x4.max_s(i32x4.max_s(red4, green4), blue4);
    const below = i32x4.min_s(i32x4.min_s(red4, green4), blue4);
    const luma = i32x4.mul(codes, scale);
    const high = i32x4.add(luma, above);
    const low = i32x4.add(luma, below);
    most = i32x4.max_s(most, high);
    least = i32x4.min_s(least, low);
    if (v128.any_true(v128.or(i32x4.gt_s(high, limitHigh), i32x4.lt_s(low, limitLow)))) {
      if (first < 0) first = x;
      last = x + 3;
    }
    if (absolute) {
      countLight(lightCounts, codes, lightBins(above));
      if (testsP3) {
        const reds = i32x4.add(luma, red4);
        const greens = i32x4.add(luma, green4);
        const blues = i32x4.add(luma, blue4);
        if (colourful(high, reds, greens, blues)) judgeFour(job, reds, greens, blues, 4);
      }
    }
  }
  if (whole > 0) noteExtremes(job.results, lowestOfFour(least), highestOfFour(most));
  addMarks(job.scratch, y, first, last);
}

/**
 * RGB: the planes are the channels, and codes are their bins. The first `whole` pixels of the open row, a
 * multiple of 16.
 */
function rgbSixteens(job: Job, y: i32, whole: i32): void {
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
  if (colourful(inSteps(above), r, g, b)) judgeFour(job, r, g, b, 4);
}

function inSteps(codes: v128): v128 {
  return i32x4.mul(codes, splats.codeSteps4);
}
