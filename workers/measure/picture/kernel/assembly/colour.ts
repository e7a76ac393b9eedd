import { blueOf, chromaAt, greenOf, redOf } from './chroma';
import { bump, bumpFour, countSixteen } from './histogram';
import { absoluteSpan, judgeFour } from './light';
import { shortSpan } from './light-rows';
import {
  blue,
  cbRow,
  crRow,
  green,
  loadPixel,
  loadShort,
  mainRow,
  openRow,
  red,
  shortBlue,
  shortGreen,
  shortRed,
} from './pixels';
import {
  exactExtremes,
  firstShortMark,
  lastShortMark,
  leastOfRow,
  mayHoldExtremes,
  measureSharedRow,
  mostOfRow,
  openSharedRows,
} from './shared-rows';
import { PQ_BIN_BITS, SHORT_BITS } from './shifts';
import * as s from './state';
import { highest, lowest } from './vectors';

/** Smallest and largest R', G' or B' of the frame, in steps. */
export let leastStep: i32 = 0;
export let mostStep: i32 = 0;
/** Marked pixels of the row: all that lie outside the tolerance of R 103 before the filter are among them. */
export let firstMark: i32 = -1;
export let lastMark: i32 = -1;

export function openColour(): void {
  leastStep = i32.MAX_VALUE;
  mostStep = i32.MIN_VALUE;
  openSharedRows();
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
  // Two rows of eight: both fields. RGB pictures are counted whole, since their histograms are the samples themselves.
  const counted = s.model === 1 || (y & 7) < 2;
  let done = 0;
  if (s.hasRgb === 0) {
    lumaAlone();
    return;
  }
  if (s.sumsShort !== 0) {
    done = s.width & ~15;
    measureSharedRow(y, done, counted);
    firstMark = firstShortMark;
    lastMark = lastShortMark;
  } else if (s.rgbShift === s.codeShift && (s.lightKind !== 1 || PQ_BIN_BITS <= s.codeShift)) {
    // Bins wider than a code do not split into luma and chroma; 4:1:1 and grey are rare and small.
    if (s.model === 1) done = rgbSixteens(s.width & ~15);
    else if (s.model === 0 && s.chromaShiftX === 0) done = ownFours(s.width & ~3, counted);
  }
  singles(y, done, counted);
}

/** After the last row: what the rows have left open. */
export function closeColour(): void {
  if (s.sumsShort === 0) return;
  const whole = s.width & ~15;
  if (whole === 0) return;
  for (let y = 0; y < s.height; y++) {
    if (!mayHoldExtremes(y)) continue;
    openRow(y);
    exactExtremes(whole);
    mostStep = max(mostStep, mostOfRow);
    leastStep = min(leastStep, leastOfRow);
  }
}

function lumaAlone(): void {
  for (let x = 0; x < s.width; x++) {
    bump(s.lumaCounts, min(<i32>load<u16>(mainRow + ((<usize>x) << 1)), s.topCode));
  }
}

/** The pixel loaded last, by its short sums where there are such. */
function countColours(y: i32, x: i32): void {
  const short = s.sumsShort !== 0;
  if (short) loadShort(y, x);
  bump(s.redCounts, ((short ? shortRed << SHORT_BITS : red) - s.rgbFrom) >> s.rgbShift);
  bump(s.greenCounts, ((short ? shortGreen << SHORT_BITS : green) - s.rgbFrom) >> s.rgbShift);
  bump(s.blueCounts, ((short ? shortBlue << SHORT_BITS : blue) - s.rgbFrom) >> s.rgbShift);
}

function singles(y: i32, from: i32, counted: bool): void {
  let least = leastStep;
  let most = mostStep;
  for (let x = from; x < s.width; x++) {
    loadPixel(y, x);
    if (s.model !== 1) bump(s.lumaCounts, min(<i32>load<u16>(mainRow + ((<usize>x) << 1)), s.topCode));
    if (counted && x % s.countedPixels === 0) countColours(y, x);
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
  if (s.lightKind === 1) absoluteSpan(y, from, s.width);
  else if (s.lightKind > 1 && s.sumsShort !== 0) shortSpan(y, from, s.width);
}

/** Whether one of the four pixels has a channel so far below the largest that it may be outside P3. All in steps. */
function colourful(most: v128, red4: v128, green4: v128, blue4: v128): bool {
  const most64 = i32x4.shr_s(most, 6);
  const far = v128.or(
    v128.or(
      tooFar(most64, i32x4.sub(most, red4), s.spreadBaseRed, s.spreadSlopeRed, s.spreadCapRed),
      tooFar(most64, i32x4.sub(most, green4), s.spreadBaseGreen, s.spreadSlopeGreen, s.spreadCapGreen),
    ),
    tooFar(most64, i32x4.sub(most, blue4), s.spreadBaseBlue, s.spreadSlopeBlue, s.spreadCapBlue),
  );
  return v128.any_true(far);
}

function tooFar(most64: v128, spread: v128, base: i32, slope: i32, cap: i32): v128 {
  const allowed = i32x4.add(i32x4.splat(base), i32x4.shr_s(i32x4.mul(most64, i32x4.splat(slope)), 12));
  return i32x4.gt_s(i32x4.shr_s(spread, 6), i32x4.min_s(allowed, i32x4.splat(cap)));
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

/** Y'CbCr where every pixel has its own chroma. */
function ownFours(whole: i32, counted: bool): i32 {
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
    const codes = i32x4.min_s(v128.load_ext<u16>(mainRow + at), top32);
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
    if (v128.any_true(v128.or(i32x4.gt_s(high, limitHigh), i32x4.lt_s(low, limitLow)))) {
      if (firstMark < 0) firstMark = x;
      lastMark = x + 3;
    }
    if (absolute) {
      countLight(codes, lightBins(above));
      if (testsP3) {
        const reds = i32x4.add(luma, red4);
        const greens = i32x4.add(luma, green4);
        const blues = i32x4.add(luma, blue4);
        if (colourful(high, reds, greens, blues)) judgeFour(reds, greens, blues, 4);
      }
    }
  }
  if (whole > 0) noteExtremes(least, most);
  return whole;
}

/** RGB: the planes are the channels, and codes are their bins. */
function rgbSixteens(whole: i32): i32 {
  const top = i16x8.splat(<i16>s.topCode);
  const limitHigh = i16x8.splat(<i16>min(max(s.limitHigh >> s.codeShift, 0), 0xffff));
  const limitLow = i16x8.splat(<i16>max(-(-s.limitLow >> s.codeShift), 0));
  const absolute = s.lightKind === 1;
  let most = i16x8.splat(0);
  let least = i16x8.splat(-1);
  for (let x = 0; x < whole; x += 16) {
    const at = (<usize>x) << 1;
    const greens = i16x8.min_u(v128.load(mainRow + at), top);
    const blues = i16x8.min_u(v128.load(cbRow + at), top);
    const reds = i16x8.min_u(v128.load(crRow + at), top);
    const greens2 = i16x8.min_u(v128.load(mainRow + at, 16), top);
    const blues2 = i16x8.min_u(v128.load(cbRow + at, 16), top);
    const reds2 = i16x8.min_u(v128.load(crRow + at, 16), top);
    countSixteen(s.greenCounts, s.greenPairs, greens, greens2);
    countSixteen(s.blueCounts, s.bluePairs, blues, blues2);
    countSixteen(s.redCounts, s.redPairs, reds, reds2);
    const above = i16x8.max_u(i16x8.max_u(greens, blues), reds);
    const below = i16x8.min_u(i16x8.min_u(greens, blues), reds);
    const above2 = i16x8.max_u(i16x8.max_u(greens2, blues2), reds2);
    const below2 = i16x8.min_u(i16x8.min_u(greens2, blues2), reds2);
    const high = i16x8.max_u(above, above2);
    const low = i16x8.min_u(below, below2);
    most = i16x8.max_u(most, high);
    least = i16x8.min_u(least, low);
    if (v128.any_true(v128.or(i16x8.gt_u(high, limitHigh), i16x8.lt_u(low, limitLow)))) {
      if (firstMark < 0) firstMark = x;
      lastMark = x + 15;
    }
    if (absolute) {
      rgbLight(above, reds, greens, blues);
      rgbLight(above2, reds2, greens2, blues2);
    }
  }
  if (whole > 0) {
    mostStep = max(mostStep, highest(most) << s.codeShift);
    leastStep = min(leastStep, lowest(least) << s.codeShift);
  }
  return whole;
}

/** PQ: eight pixels of RGB by light and P3, from their codes and the largest of them. */
function rgbLight(above: v128, reds: v128, greens: v128, blues: v128): void {
  rgbFour(
    i32x4.extend_low_i16x8_u(above),
    i32x4.extend_low_i16x8_u(reds),
    i32x4.extend_low_i16x8_u(greens),
    i32x4.extend_low_i16x8_u(blues),
  );
  rgbFour(
    i32x4.extend_high_i16x8_u(above),
    i32x4.extend_high_i16x8_u(reds),
    i32x4.extend_high_i16x8_u(greens),
    i32x4.extend_high_i16x8_u(blues),
  );
}

function rgbFour(above: v128, reds: v128, greens: v128, blues: v128): void {
  countLight(above, i32x4.splat(-s.lightFrom >> PQ_BIN_BITS));
  if (s.testsP3 === 0) return;
  const r = inSteps(reds);
  const g = inSteps(greens);
  const b = inSteps(blues);
  if (colourful(inSteps(above), r, g, b)) judgeFour(r, g, b, 4);
}

function inSteps(codes: v128): v128 {
  return i32x4.mul(codes, i32x4.splat(1 << s.codeShift));
}
