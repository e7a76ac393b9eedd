import { bump, bumpEight } from './histogram';
import { absoluteBin, absoluteSpan, countOutsideP3 } from './light';
import { blue, green, loadPixel, red, rowOf, secondPlane, thirdPlane } from './pixels';
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
  // Bins of more than 12 bits do not fit the lanes; 4:1:1 and grey are rare and small.
  if (s.topCode < 4096 && s.hasRgb !== 0) {
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

/** Y'CbCr where two pixels share their chroma: the larger luma of a pair decides its maximum, the smaller its minimum. */
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
  const redBins = s.redBins;
  const greenBins = s.greenBins;
  const blueBins = s.blueBins;
  const lightBins = s.lightBins;
  const luma = s.lumaCounts;
  const lumaTwin = s.lumaTwin;
  const reds = s.redCounts;
  const redTwin = s.redTwin;
  const greens = s.greenCounts;
  const greenTwin = s.greenTwin;
  const blues = s.blueCounts;
  const blueTwin = s.blueTwin;
  const lights = s.lightCounts;
  const lightTwin = s.lightTwin;
  const lightScale = s.codeShift - s.lightStepBits;
  const lastBin = i16x8.splat(<i16>s.lightLastBin);
  const zero = i16x8.splat(0);
  let most = i32x4.splat(i32.MIN_VALUE);
  let least = i32x4.splat(i32.MAX_VALUE);
  for (let x = 0; x < whole; x += 8) {
    const at = (<usize>x) << 1;
    const codes = i16x8.min_u(v128.load(row + at), top);
    bumpEight(luma, lumaTwin, codes);
    bumpEight(reds, redTwin, i16x8.add(codes, v128.load(redBins + at)));
    bumpEight(greens, greenTwin, i16x8.add(codes, v128.load(greenBins + at)));
    bumpEight(blues, blueTwin, i16x8.add(codes, v128.load(blueBins + at)));
    const even = v128.and(codes, low16);
    const odd = i32x4.shr_u(codes, 16);
    const above = v128.load(mosts + at);
    const below = v128.load(leasts + at);
    const high = i32x4.add(i32x4.shl(i32x4.max_s(even, odd), shift), above);
    const low = i32x4.add(i32x4.shl(i32x4.min_s(even, odd), shift), below);
    most = i32x4.max_s(most, high);
    least = i32x4.min_s(least, low);
    if (v128.any_true(v128.or(i32x4.gt_s(high, limitHigh), i32x4.lt_s(low, limitLow)))) markEight(row, x);
    if (absolute) {
      const bins = i16x8.add_sat_s(i16x8.shl(codes, lightScale), v128.load(lightBins + at));
      bumpEight(lights, lightTwin, i16x8.max_s(i16x8.min_s(bins, lastBin), zero));
      if (testsP3 && v128.any_true(i32x4.gt_s(i32x4.sub(above, below), leastSpread))) judgeEight(row, x);
    }
  }
  if (whole > 0) noteExtremes(least, most);
  return whole;
}

/** Y'CbCr where every pixel has its own chroma. */
function ownEights(row: usize, whole: i32): i32 {
  const top = i16x8.splat(<i16>s.topCode);
  const shift = s.codeShift;
  const limitHigh = i32x4.splat(s.limitHigh);
  const limitLow = i32x4.splat(s.limitLow);
  const absolute = s.lightKind === 1;
  const testsP3 = absolute && s.testsP3 !== 0;
  const leastSpread = i32x4.splat(s.p3LeastSpread);
  const lightScale = s.codeShift - s.lightStepBits;
  const lastBin = i16x8.splat(<i16>s.lightLastBin);
  const zero = i16x8.splat(0);
  let most = i32x4.splat(i32.MIN_VALUE);
  let least = i32x4.splat(i32.MAX_VALUE);
  for (let x = 0; x < whole; x += 8) {
    const at = (<usize>x) << 1;
    const codes = i16x8.min_u(v128.load(row + at), top);
    bumpEight(s.lumaCounts, s.lumaTwin, codes);
    bumpEight(s.redCounts, s.redTwin, i16x8.add(codes, v128.load(s.redBins + at)));
    bumpEight(s.greenCounts, s.greenTwin, i16x8.add(codes, v128.load(s.greenBins + at)));
    bumpEight(s.blueCounts, s.blueTwin, i16x8.add(codes, v128.load(s.blueBins + at)));
    const left = i32x4.shl(i32x4.extend_low_i16x8_u(codes), shift);
    const right = i32x4.shl(i32x4.extend_high_i16x8_u(codes), shift);
    const steps = (<usize>x) << 2;
    const aboveLeft = v128.load(s.mostSteps + steps);
    const aboveRight = v128.load(s.mostSteps + steps + 16);
    const belowLeft = v128.load(s.leastSteps + steps);
    const belowRight = v128.load(s.leastSteps + steps + 16);
    const high = i32x4.max_s(i32x4.add(left, aboveLeft), i32x4.add(right, aboveRight));
    const low = i32x4.min_s(i32x4.add(left, belowLeft), i32x4.add(right, belowRight));
    most = i32x4.max_s(most, high);
    least = i32x4.min_s(least, low);
    if (v128.any_true(v128.or(i32x4.gt_s(high, limitHigh), i32x4.lt_s(low, limitLow)))) markEight(row, x);
    if (absolute) {
      const bins = i16x8.add_sat_s(i16x8.shl(codes, lightScale), v128.load(s.lightBins + at));
      bumpEight(s.lightCounts, s.lightTwin, i16x8.max_s(i16x8.min_s(bins, lastBin), zero));
      if (testsP3) {
        const spread = i32x4.max_s(i32x4.sub(aboveLeft, belowLeft), i32x4.sub(aboveRight, belowRight));
        if (v128.any_true(i32x4.gt_s(spread, leastSpread))) judgeEight(row, x);
      }
    }
  }
  if (whole > 0) noteExtremes(least, most);
  return whole;
}

/** RGB: the planes are the channels; codes are the bins. */
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
  const lightScale = s.codeShift - s.lightStepBits;
  const lightOffset = i16x8.splat(<i16>max(-s.lightFrom >> s.lightStepBits, -32768));
  const lastBin = i16x8.splat(<i16>s.lightLastBin);
  const zero = i16x8.splat(0);
  let most = i32x4.splat(i32.MIN_VALUE);
  let least = i32x4.splat(i32.MAX_VALUE);
  for (let x = 0; x < whole; x += 8) {
    const at = row + ((<usize>x) << 1);
    const greens = i16x8.min_u(v128.load(at), top);
    const blues = i16x8.min_u(v128.load(at + toBlue), top);
    const reds = i16x8.min_u(v128.load(at + toRed), top);
    bumpEight(s.greenCounts, s.greenTwin, greens);
    bumpEight(s.blueCounts, s.blueTwin, blues);
    bumpEight(s.redCounts, s.redTwin, reds);
    const high16 = i16x8.max_u(i16x8.max_u(greens, blues), reds);
    const low16 = i16x8.min_u(i16x8.min_u(greens, blues), reds);
    const highLeft = i32x4.shl(i32x4.extend_low_i16x8_u(high16), shift);
    const highRight = i32x4.shl(i32x4.extend_high_i16x8_u(high16), shift);
    const lowLeft = i32x4.shl(i32x4.extend_low_i16x8_u(low16), shift);
    const lowRight = i32x4.shl(i32x4.extend_high_i16x8_u(low16), shift);
    const high = i32x4.max_s(highLeft, highRight);
    const low = i32x4.min_s(lowLeft, lowRight);
    most = i32x4.max_s(most, high);
    least = i32x4.min_s(least, low);
    if (v128.any_true(v128.or(i32x4.gt_s(high, limitHigh), i32x4.lt_s(low, limitLow)))) markEight(row, x);
    if (absolute) {
      const bins = i16x8.add_sat_s(i16x8.shl(high16, lightScale), lightOffset);
      bumpEight(s.lightCounts, s.lightTwin, i16x8.max_s(i16x8.min_s(bins, lastBin), zero));
      if (testsP3) {
        const spread = i32x4.max_s(i32x4.sub(highLeft, lowLeft), i32x4.sub(highRight, lowRight));
        if (v128.any_true(i32x4.gt_s(spread, leastSpread))) judgeEight(row, x);
      }
    }
  }
  if (whole > 0) noteExtremes(least, most);
  return whole;
}
