import { blueOf, chromaAt, greenOf, redOf } from './chroma';
import { bump, bumpFour, LOWEST, WINDOW } from './histogram';
import { absoluteBin, absoluteSpan, countOutsideP3 } from './light';
import { blue, cbRow, crRow, green, loadPixel, red, rowOf, secondPlane, thirdPlane } from './pixels';
import { countEight } from './planes';
import { PQ_BIN_BITS } from './shifts';
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
  // Two rows of eight: both fields. RGB pictures are counted whole, since their histograms are the samples themselves.
  const counted = s.model === 1 || (y & 7) < 2;
  let done = 0;
  // Bins wider than a code do not split into luma and chroma; 4:1:1 and grey are rare and small.
  if (s.rgbShift === s.codeShift && PQ_BIN_BITS <= s.codeShift && s.hasRgb !== 0) {
    if (s.model === 1) done = rgbEights(row, whole);
    else if (s.model === 0 && s.chromaShiftX === 1) done = sharedEights(row, whole, counted);
    else if (s.model === 0 && s.chromaShiftX === 0) done = ownFours(row, s.width & ~3, counted);
  }
  if (s.hasRgb !== 0) singles(row, done, counted);
  else lumaAlone(row);
}

function lumaAlone(row: usize): void {
  for (let x = 0; x < s.width; x++) {
    bump(s.lumaCounts, min(<i32>load<u16>(row + ((<usize>x) << 1)), s.topCode));
  }
}

function singles(row: usize, from: i32, counted: bool): void {
  let least = leastStep;
  let most = mostStep;
  for (let x = from; x < s.width; x++) {
    loadPixel(row, x);
    if (s.model !== 1) bump(s.lumaCounts, min(<i32>load<u16>(row + ((<usize>x) << 1)), s.topCode));
    if (counted) {
      bump(s.redCounts, (red - s.rgbFrom) >> s.rgbShift);
      bump(s.greenCounts, (green - s.rgbFrom) >> s.rgbShift);
      bump(s.blueCounts, (blue - s.rgbFrom) >> s.rgbShift);
    }
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

/** Some of these pixels are outside: which. */
function markSome(row: usize, from: i32, pixels: i32): void {
  for (let x = from; x < from + pixels; x++) {
    loadPixel(row, x);
    if (max(max(red, green), blue) > s.limitHigh || min(min(red, green), blue) < s.limitLow) {
      if (firstMark < 0) firstMark = x;
      lastMark = x;
    }
  }
}

/** Pixels of four that are colourful enough to lie outside P3: bit i of `which` stands for `perBit` pixels. */
function judge(row: usize, from: i32, which: i32, perBit: i32): void {
  for (let x = from; which !== 0; x += perBit, which >>= 1) {
    if ((which & 1) === 0) continue;
    for (let i = 0; i < perBit; i++) {
      loadPixel(row, x + i);
      countOutsideP3(absoluteBin(max(max(red, green), blue)));
    }
  }
}

/** Bits of the four pixels whose channels lie far enough apart for `most` to be outside P3. */
function colourful(most: v128, above: v128, below: v128): i32 {
  const spread = i32x4.shr_s(i32x4.sub(above, below), 6);
  const allowed = i32x4.add(
    i32x4.splat(s.spreadBase),
    i32x4.shr_s(i32x4.mul(i32x4.shr_s(most, 6), i32x4.splat(s.spreadSlope)), 12),
  );
  return i32x4.bitmask(i32x4.gt_s(spread, allowed));
}

/** PQ: four pixels by light. `codes` are luma or the largest channel's, `bins` what comes on top. */
function countLight(codes: v128, bins: v128): void {
  const lit = i32x4.add(i32x4.mul(codes, i32x4.splat(1 << (s.codeShift - PQ_BIN_BITS))), bins);
  const held = i32x4.max_s(i32x4.min_s(lit, i32x4.splat(s.lightLastBin)), i32x4.splat(0));
  bumpFour(s.lightCounts, i32x4.shl(held, 2));
}

/** Bins of light of black pixels that get `above` on top. */
function lightBins(above: v128): v128 {
  return i32x4.shr_s(i32x4.sub(above, i32x4.splat(s.lightFrom)), PQ_BIN_BITS);
}

/** Where the counters of black pixels with these steps lie, in bytes. */
function places(steps: v128, from: v128, shift: i32): v128 {
  return i32x4.shl(i32x4.shr_s(i32x4.sub(steps, from), shift), 2);
}

/**
 * Y'CbCr where two pixels share their chroma: the larger luma of a pair decides its maximum, the smaller its minimum, and the
 * difference of their R', G' and B' is that of their luma.
 */
function sharedEights(row: usize, whole: i32, counted: bool): i32 {
  const top = i16x8.splat(<i16>s.topCode);
  const low16 = i32x4.splat(0xffff);
  const shift = s.codeShift;
  // A product is quicker than a shift by a width that is no constant.
  const scale = i32x4.splat(1 << shift);
  const rgbFrom = i32x4.splat(s.rgbFrom);
  const limitHigh = i32x4.splat(s.limitHigh);
  const limitLow = i32x4.splat(s.limitLow);
  const absolute = s.lightKind === 1;
  const testsP3 = absolute && s.testsP3 !== 0;
  const lowest = i32x4.splat(LOWEST);
  const outside = i32x4.splat(-WINDOW);
  const codeStride = i32x4.splat(s.codeStride);
  const rgbStride = i32x4.splat(s.rgbStride);
  const pairs = s.countsPairs !== 0;
  const lumaPairs = s.lumaPairs;
  const redPairs = s.redPairs;
  const greenPairs = s.greenPairs;
  const bluePairs = s.bluePairs;
  const cbs = cbRow;
  const crs = crRow;
  let most = i32x4.splat(i32.MIN_VALUE);
  let least = i32x4.splat(i32.MAX_VALUE);
  for (let x = 0; x < whole; x += 8) {
    const at = (<usize>x) << 1;
    const codes = i16x8.min_u(v128.load(row + at), top);
    const cb = chromaAt(cbs + <usize>x);
    const cr = chromaAt(crs + <usize>x);
    const red4 = redOf(cr);
    const green4 = greenOf(cb, cr);
    const blue4 = blueOf(cb);
    const even = v128.and(codes, low16);
    const odd = i32x4.shr_u(codes, 16);
    const first = i32x4.shl(even, 2);
    const step = i32x4.sub(i32x4.sub(odd, even), lowest);
    if (pairs && !v128.any_true(v128.and(step, outside))) {
      bumpFour(lumaPairs, i32x4.add(i32x4.mul(step, codeStride), first));
      if (counted) {
        const base = i32x4.add(i32x4.mul(step, rgbStride), first);
        bumpFour(redPairs, i32x4.add(base, places(red4, rgbFrom, shift)));
        bumpFour(greenPairs, i32x4.add(base, places(green4, rgbFrom, shift)));
        bumpFour(bluePairs, i32x4.add(base, places(blue4, rgbFrom, shift)));
      }
    } else {
      const second = i32x4.shl(odd, 2);
      bumpFour(s.lumaCounts, first);
      bumpFour(s.lumaCounts, second);
      if (counted) {
        const redPlace = places(red4, rgbFrom, shift);
        const greenPlace = places(green4, rgbFrom, shift);
        const bluePlace = places(blue4, rgbFrom, shift);
        bumpFour(s.redCounts, i32x4.add(first, redPlace));
        bumpFour(s.greenCounts, i32x4.add(first, greenPlace));
        bumpFour(s.blueCounts, i32x4.add(first, bluePlace));
        bumpFour(s.redCounts, i32x4.add(second, redPlace));
        bumpFour(s.greenCounts, i32x4.add(second, greenPlace));
        bumpFour(s.blueCounts, i32x4.add(second, bluePlace));
      }
    }
    const above = i32x4.max_s(i32x4.max_s(red4, green4), blue4);
    const below = i32x4.min_s(i32x4.min_s(red4, green4), blue4);
    const darker = i32x4.mul(i32x4.min_s(even, odd), scale);
    const high = i32x4.add(i32x4.mul(i32x4.max_s(even, odd), scale), above);
    const low = i32x4.add(darker, below);
    most = i32x4.max_s(most, high);
    least = i32x4.min_s(least, low);
    if (v128.any_true(v128.or(i32x4.gt_s(high, limitHigh), i32x4.lt_s(low, limitLow)))) markSome(row, x, 8);
    if (absolute) {
      const bins = lightBins(above);
      countLight(even, bins);
      countLight(odd, bins);
      if (testsP3) {
        const found = colourful(i32x4.add(darker, above), above, below);
        if (found !== 0) judge(row, x, found, 2);
      }
    }
  }
  if (whole > 0) noteExtremes(least, most);
  return whole;
}

/** Y'CbCr where every pixel has its own chroma. */
function ownFours(row: usize, whole: i32, counted: bool): i32 {
  const top32 = i32x4.splat(s.topCode);
  const shift = s.codeShift;
  // A product is quicker than a shift by a width that is no constant.
  const scale = i32x4.splat(1 << shift);
  const rgbFrom = i32x4.splat(s.rgbFrom);
  const limitHigh = i32x4.splat(s.limitHigh);
  const limitLow = i32x4.splat(s.limitLow);
  const absolute = s.lightKind === 1;
  const testsP3 = absolute && s.testsP3 !== 0;
  let most = i32x4.splat(i32.MIN_VALUE);
  let least = i32x4.splat(i32.MAX_VALUE);
  for (let x = 0; x < whole; x += 4) {
    const at = (<usize>x) << 1;
    const codes = i32x4.min_s(v128.load_ext<u16>(row + at), top32);
    const cb = chromaAt(cbRow + at);
    const cr = chromaAt(crRow + at);
    const red4 = redOf(cr);
    const green4 = greenOf(cb, cr);
    const blue4 = blueOf(cb);
    const place = i32x4.shl(codes, 2);
    bumpFour(s.lumaCounts, place);
    if (counted) {
      bumpFour(s.redCounts, i32x4.add(place, places(red4, rgbFrom, shift)));
      bumpFour(s.greenCounts, i32x4.add(place, places(green4, rgbFrom, shift)));
      bumpFour(s.blueCounts, i32x4.add(place, places(blue4, rgbFrom, shift)));
    }
    const above = i32x4.max_s(i32x4.max_s(red4, green4), blue4);
    const below = i32x4.min_s(i32x4.min_s(red4, green4), blue4);
    const luma = i32x4.mul(codes, scale);
    const high = i32x4.add(luma, above);
    const low = i32x4.add(luma, below);
    most = i32x4.max_s(most, high);
    least = i32x4.min_s(least, low);
    if (v128.any_true(v128.or(i32x4.gt_s(high, limitHigh), i32x4.lt_s(low, limitLow)))) markSome(row, x, 4);
    if (absolute) {
      countLight(codes, lightBins(above));
      if (testsP3) {
        const found = colourful(high, above, below);
        if (found !== 0) judge(row, x, found, 1);
      }
    }
  }
  if (whole > 0) noteExtremes(least, most);
  return whole;
}

/** RGB: the planes are the channels, and codes are their bins. */
function rgbEights(row: usize, whole: i32): i32 {
  const top = i16x8.splat(<i16>s.topCode);
  const scale = i32x4.splat(1 << s.codeShift);
  const toBlue = secondPlane() - rowOf(0);
  const toRed = thirdPlane() - rowOf(0);
  const limitHigh = i32x4.splat(s.limitHigh);
  const limitLow = i32x4.splat(s.limitLow);
  const absolute = s.lightKind === 1;
  const testsP3 = absolute && s.testsP3 !== 0;
  const lightOffset = i32x4.splat(-s.lightFrom >> PQ_BIN_BITS);
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
    const highLeft = i32x4.mul(leftCodes, scale);
    const highRight = i32x4.mul(rightCodes, scale);
    const lowLeft = i32x4.mul(i32x4.extend_low_i16x8_u(low16), scale);
    const lowRight = i32x4.mul(i32x4.extend_high_i16x8_u(low16), scale);
    const high = i32x4.max_s(highLeft, highRight);
    const low = i32x4.min_s(lowLeft, lowRight);
    most = i32x4.max_s(most, high);
    least = i32x4.min_s(least, low);
    if (v128.any_true(v128.or(i32x4.gt_s(high, limitHigh), i32x4.lt_s(low, limitLow)))) markSome(row, x, 8);
    if (absolute) {
      countLight(leftCodes, lightOffset);
      countLight(rightCodes, lightOffset);
      if (testsP3) {
        const found =
          colourful(highLeft, highLeft, lowLeft) | (colourful(highRight, highRight, lowRight) << 4);
        if (found !== 0) judge(row, x, found, 1);
      }
    }
  }
  if (whole > 0) noteExtremes(least, most);
  return whole;
}
