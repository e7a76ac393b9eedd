import { bump, bumpFour, LOWEST, WINDOW } from './histogram';
import { absoluteBin, absoluteSpan, countOutsideP3 } from './light';
import { blue, green, loadPixel, red, rowOf, secondPlane, thirdPlane } from './pixels';
import { countEight } from './planes';
import * as s from './state';

/** Smallest and largest R', G' or B' of the frame, in steps. */
export let leastStep: i32 = 0;
export let mostStep: i32 = 0;
/** Marked pixels of the row: outside the tolerance of R 103 before the filter. */
export let firstMark: i32 = -1;
export let lastMark: i32 = -1;

export function openColour(): void {
  leastStep = i32.MAX_VALUE;
  mostStep = i32.MIN_VALUE;
}

function noteExtremes(least: v128, most: v128): void {
  const low = min(
    min(i32x4.extract_lane(least, 0), i32x4.extract_lane(least, 1)),
    min(i32x4.extract_lane(least, 2), i32x4.extract_lane(least, 3)),
  );
  const high = max(
    max(i32x4.extract_lane(most, 0), i32x4.extract_lane(most, 1)),
    max(i32x4.extract_lane(most, 2), i32x4.extract_lane(most, 3)),
  );
  leastStep = min(leastStep, low);
  mostStep = max(mostStep, high);
}

/** Counts the row by R', G', B' and, for Y'CbCr and grey, by luma; notes extremes and marks; PQ light on the way. */
export function measureColour(y: i32): void {
  firstMark = -1;
  lastMark = -1;
  const row = rowOf(y);
  const whole = s.width & ~7;
  let done = 0;
  // Bins wider than a code do not split into luma and chroma; 4:1:1 and grey are rare and small.
  if (s.rgbShift === s.codeShift && s.lightBinBits <= s.codeShift && s.hasRgb !== 0) {
    if (s.model === 1) done = rgbEights(row, whole);
    else if (s.model === 0 && s.chromaShiftX === 1) done = sharedEights(row, whole);
    else if (s.model === 0 && s.chromaShiftX === 0) done = ownEights(row, whole);
  }
  if (s.hasRgb !== 0) singles(row, done);
  else lumaAlone(row);
}

function lumaAlone(row: usize): void {
  for (let x = 0; x < s.width; x++) {
    bump(s.lumaCounts, min(<i32>load<u16>(row + ((<usize>x) << 1)), s.topCode));
  }
}

function singles(row: usize, from: i32): void {
  let least = leastStep;
  let most = mostStep;
  for (let x = from; x < s.width; x++) {
    loadPixel(row, x);
    if (s.model !== 1) bump(s.lumaCounts, min(<i32>load<u16>(row + ((<usize>x) << 1)), s.topCode));
    bump(s.redCounts, (red - s.rgbFrom) >> s.rgbShift);
    bump(s.greenCounts, (green - s.rgbFrom) >> s.rgbShift);
    bump(s.blueCounts, (blue - s.rgbFrom) >> s.rgbShift);
    const high = max(max(red, green), blue);
    const low = min(min(red, green), blue);
    least = min(least, low);
    most = max(most, high);
    if (high > s.limitHigh || low < s.limitLow) {
      if (firstMark < 0) firstMark = x;
      lastMark = x;
    }
  }
  leastStep = least;
  mostStep = most;
  if (s.lightKind === 1) absoluteSpan(row, from, s.width);
}

/** Some of eight pixels are outside: which. */
function markEight(row: usize, from: i32): void {
  for (let x = from; x < from + 8; x++) {
    loadPixel(row, x);
    if (max(max(red, green), blue) > s.limitHigh || min(min(red, green), blue) < s.limitLow) {
      if (firstMark < 0) firstMark = x;
      lastMark = x;
    }
  }
}

/** Some of eight pixels are colourful enough to lie outside P3. */
function judgeEight(row: usize, from: i32): void {
  for (let x = from; x < from + 8; x++) {
    loadPixel(row, x);
    countOutsideP3(absoluteBin(max(max(red, green), blue)));
  }
}

/** PQ: four pixels by light. `codes` are the largest channel's, or luma with the bins of its chroma beside. */
function countLight(codes: v128, bins: v128): void {
  const lit = i32x4.add(i32x4.shl(codes, s.codeShift - s.lightBinBits), bins);
  const held = i32x4.max_s(i32x4.min_s(lit, i32x4.splat(s.lightLastBin)), i32x4.splat(0));
  bumpFour(s.lightCounts, i32x4.shl(held, 2));
}

/**
 * Y'CbCr where two pixels share their chroma: the larger luma of a pair decides its maximum, the smaller its minimum, and the
 * difference of their R', G' and B' is that of their luma.
 */
function sharedEights(row: usize, whole: i32): i32 {
  const top = i16x8.splat(<i16>s.topCode);
  const low16 = i32x4.splat(0xffff);
  const shift = s.codeShift;
  const limitHigh = i32x4.splat(s.limitHigh);
  const limitLow = i32x4.splat(s.limitLow);
  const absolute = s.lightKind === 1;
  const testsP3 = absolute && s.testsP3 !== 0;
  const leastSpread = i32x4.splat(s.p3LeastSpread);
  const mosts = s.mostSteps;
  const leasts = s.leastSteps;
  const reds = s.redBins;
  const greens = s.greenBins;
  const blues = s.blueBins;
  const lowest = i32x4.splat(LOWEST);
  const outside = i32x4.splat(-WINDOW);
  const codeStride = i32x4.splat(s.codeStride);
  const rgbStride = i32x4.splat(s.rgbStride);
  const pairs = s.countsPairs !== 0;
  let most = i32x4.splat(i32.MIN_VALUE);
  let least = i32x4.splat(i32.MAX_VALUE);
  for (let x = 0; x < whole; x += 8) {
    const at = (<usize>x) << 1;
    const codes = i16x8.min_u(v128.load(row + at), top);
    const even = v128.and(codes, low16);
    const odd = i32x4.shr_u(codes, 16);
    const first = i32x4.shl(even, 2);
    const step = i32x4.sub(i32x4.sub(odd, even), lowest);
    if (pairs && !v128.any_true(v128.and(step, outside))) {
      bumpFour(s.lumaPairs, i32x4.add(i32x4.mul(step, codeStride), first));
      const base = i32x4.add(i32x4.mul(step, rgbStride), first);
      bumpFour(s.redPairs, i32x4.add(base, v128.load(reds + at)));
      bumpFour(s.greenPairs, i32x4.add(base, v128.load(greens + at)));
      bumpFour(s.bluePairs, i32x4.add(base, v128.load(blues + at)));
    } else {
      const second = i32x4.shl(odd, 2);
      const red4 = v128.load(reds + at);
      const green4 = v128.load(greens + at);
      const blue4 = v128.load(blues + at);
      bumpFour(s.lumaCounts, first);
      bumpFour(s.redCounts, i32x4.add(first, red4));
      bumpFour(s.greenCounts, i32x4.add(first, green4));
      bumpFour(s.blueCounts, i32x4.add(first, blue4));
      bumpFour(s.lumaCounts, second);
      bumpFour(s.redCounts, i32x4.add(second, red4));
      bumpFour(s.greenCounts, i32x4.add(second, green4));
      bumpFour(s.blueCounts, i32x4.add(second, blue4));
    }
    const above = v128.load(mosts + at);
    const below = v128.load(leasts + at);
    const high = i32x4.add(i32x4.shl(i32x4.max_s(even, odd), shift), above);
    const low = i32x4.add(i32x4.shl(i32x4.min_s(even, odd), shift), below);
    most = i32x4.max_s(most, high);
    least = i32x4.min_s(least, low);
    if (v128.any_true(v128.or(i32x4.gt_s(high, limitHigh), i32x4.lt_s(low, limitLow)))) markEight(row, x);
    if (absolute) {
      const bins = v128.load(s.lightBins + at);
      countLight(even, bins);
      countLight(odd, bins);
      if (testsP3 && v128.any_true(i32x4.gt_s(i32x4.sub(above, below), leastSpread))) judgeEight(row, x);
    }
  }
  if (whole > 0) noteExtremes(least, most);
  return whole;
}

/** Y'CbCr where every pixel has its own chroma. */
function ownEights(row: usize, whole: i32): i32 {
  const top = i16x8.splat(<i16>s.topCode);
  let most = i32x4.splat(i32.MIN_VALUE);
  let least = i32x4.splat(i32.MAX_VALUE);
  const limitHigh = i32x4.splat(s.limitHigh);
  const limitLow = i32x4.splat(s.limitLow);
  const absolute = s.lightKind === 1;
  const testsP3 = absolute && s.testsP3 !== 0;
  const leastSpread = i32x4.splat(s.p3LeastSpread);
  for (let x = 0; x < whole; x += 8) {
    const codes = i16x8.min_u(v128.load(row + ((<usize>x) << 1)), top);
    countEight(s.lumaCounts, s.lumaPairs, codes);
    let outside = false;
    let colourful = false;
    for (let half = 0; half < 2; half++) {
      const at = (<usize>(x + 4 * half)) << 2;
      const four = half === 0 ? i32x4.extend_low_i16x8_u(codes) : i32x4.extend_high_i16x8_u(codes);
      const place = i32x4.shl(four, 2);
      bumpFour(s.redCounts, i32x4.add(place, v128.load(s.redBins + at)));
      bumpFour(s.greenCounts, i32x4.add(place, v128.load(s.greenBins + at)));
      bumpFour(s.blueCounts, i32x4.add(place, v128.load(s.blueBins + at)));
      const luma = i32x4.shl(four, s.codeShift);
      const above = v128.load(s.mostSteps + at);
      const below = v128.load(s.leastSteps + at);
      const high = i32x4.add(luma, above);
      const low = i32x4.add(luma, below);
      most = i32x4.max_s(most, high);
      least = i32x4.min_s(least, low);
      outside = outside || v128.any_true(v128.or(i32x4.gt_s(high, limitHigh), i32x4.lt_s(low, limitLow)));
      if (!absolute) continue;
      countLight(four, v128.load(s.lightBins + at));
      colourful = colourful || v128.any_true(i32x4.gt_s(i32x4.sub(above, below), leastSpread));
    }
    if (outside) markEight(row, x);
    if (testsP3 && colourful) judgeEight(row, x);
  }
  if (whole > 0) noteExtremes(least, most);
  return whole;
}

/** RGB: the planes are the channels, and codes are their bins. */
function rgbEights(row: usize, whole: i32): i32 {
  const top = i16x8.splat(<i16>s.topCode);
  const shift = s.codeShift;
  const toBlue = secondPlane() - rowOf(0);
  const toRed = thirdPlane() - rowOf(0);
  const limitHigh = i32x4.splat(s.limitHigh);
  const limitLow = i32x4.splat(s.limitLow);
  const absolute = s.lightKind === 1;
  const testsP3 = absolute && s.testsP3 !== 0;
  const leastSpread = i32x4.splat(s.p3LeastSpread);
  const lightOffset = i32x4.splat(-s.lightFrom >> s.lightBinBits);
  let most = i32x4.splat(i32.MIN_VALUE);
  let least = i32x4.splat(i32.MAX_VALUE);
  for (let x = 0; x < whole; x += 8) {
    const at = row + ((<usize>x) << 1);
    const greens = i16x8.min_u(v128.load(at), top);
    const blues = i16x8.min_u(v128.load(at + toBlue), top);
    const reds = i16x8.min_u(v128.load(at + toRed), top);
    countEight(s.greenCounts, s.greenPairs, greens);
    countEight(s.blueCounts, s.bluePairs, blues);
    countEight(s.redCounts, s.redPairs, reds);
    const high16 = i16x8.max_u(i16x8.max_u(greens, blues), reds);
    const low16 = i16x8.min_u(i16x8.min_u(greens, blues), reds);
    const leftCodes = i32x4.extend_low_i16x8_u(high16);
    const rightCodes = i32x4.extend_high_i16x8_u(high16);
    const highLeft = i32x4.shl(leftCodes, shift);
    const highRight = i32x4.shl(rightCodes, shift);
    const lowLeft = i32x4.shl(i32x4.extend_low_i16x8_u(low16), shift);
    const lowRight = i32x4.shl(i32x4.extend_high_i16x8_u(low16), shift);
    const high = i32x4.max_s(highLeft, highRight);
    const low = i32x4.min_s(lowLeft, lowRight);
    most = i32x4.max_s(most, high);
    least = i32x4.min_s(least, low);
    if (v128.any_true(v128.or(i32x4.gt_s(high, limitHigh), i32x4.lt_s(low, limitLow)))) markEight(row, x);
    if (absolute) {
      countLight(leftCodes, lightOffset);
      countLight(rightCodes, lightOffset);
      if (testsP3) {
        const spread = i32x4.max_s(i32x4.sub(highLeft, lowLeft), i32x4.sub(highRight, lowRight));
        if (v128.any_true(i32x4.gt_s(spread, leastSpread))) judgeEight(row, x);
      }
    }
  }
  if (whole > 0) noteExtremes(least, most);
  return whole;
}
