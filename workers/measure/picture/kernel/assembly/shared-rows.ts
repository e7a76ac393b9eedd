import { blueOf, chromaAt, greenOf, redOf } from './chroma';
import { brightShort, countDisplayed } from './displayed-light';
import { bumpEight, countEightPairs } from './histogram';
import { judgeShared, noteShared } from './light';
import { cbRow, crRow, mainRow } from './pixels';
import { countScene } from './scene-light';
import { SHORT_BITS } from './shifts';
import {
  baseBlues,
  baseGreens,
  baseReds,
  capBlues,
  capGreens,
  capReds,
  cbToBlues,
  chromaUps,
  codeShorts,
  crToReds,
  lightLasts,
  neutrals,
  rgbFroms,
  slopeBlues,
  slopeGreens,
  slopeReds,
  toGreens,
  topCodes,
} from './splats';
import * as s from './state';
import { highestSigned, lowestSigned } from './vectors';

// Rows of Y'CbCr where two pixels share their chroma. The difference of their R', G' and B' is that of their luma: the larger luma of a
// pair decides its maximum, the smaller its minimum. Sums are first taken in short steps, eight pairs at a time; a short sum is less
// than one short step off (half of one for its rounding, an eighth for each factor's). What needs the exact one is done again where it matters.

/** More than a short sum may be off. */
const SLACK: i32 = 1;

/** Largest and smallest short sum of the frame. */
let mostShort: i32 = 0;
let leastShort: i32 = 0;

export function openSharedRows(): void {
  mostShort = i32.MIN_VALUE;
  leastShort = i32.MAX_VALUE;
}

/** Eight samples of chroma from their neutral code, as far up as 16 bits let them. */
export function shortChroma(codes: usize): v128 {
  const eight = i16x8.min_u(v128.load(codes), topCodes);
  return i16x8.mul(i16x8.sub(eight, neutrals), chromaUps);
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
    i32x4.shr_s(i32x4.add(i32x4.dot_i16x8_s(left, toGreens), half), 15),
    i32x4.shr_s(i32x4.add(i32x4.dot_i16x8_s(right, toGreens), half), 15),
  );
}

/** Marks of the row so far: the first and the last pixel of sixteens that may hold one outside. */
export let firstShortMark: i32 = -1;
export let lastShortMark: i32 = -1;

/** Luma, extremes, marks, light and, if `counted`, R', G', B' of the first `whole` pixels, a multiple of 16. */
export function measureSharedRow(y: i32, whole: i32, counted: bool): void {
  const low16 = i32x4.splat(0xffff);
  const limitHigh = i16x8.splat(<i16>s.shortHigh);
  const limitLow = i16x8.splat(<i16>s.shortLow);
  // Bins are a short step wide with whole ones in their middle: half a bin further up lies black.
  const lightFrom = i16x8.splat(<i16>((s.lightFrom + (1 << (SHORT_BITS - 1))) >> SHORT_BITS));
  const kind = s.lightKind;
  const testsP3 = s.testsP3 !== 0;
  const row = mainRow;
  const cbs = cbRow;
  const crs = crRow;
  let first = -1;
  let last = -1;
  let most = i16x8.splat(i16.MIN_VALUE);
  let least = i16x8.splat(i16.MAX_VALUE);
  for (let x = 0; x < whole; x += 16) {
    const at = row + ((<usize>x) << 1);
    const cb = shortChroma(cbs + <usize>x);
    const cr = shortChroma(crs + <usize>x);
    const red = shortShare(cr, crToReds);
    const green = shortGreenShare(cb, cr);
    const blue = shortShare(cb, cbToBlues);
    const above = i16x8.max_s(i16x8.max_s(red, green), blue);
    const below = i16x8.min_s(i16x8.min_s(red, green), blue);
    const left = i16x8.min_u(v128.load(at), topCodes);
    const right = i16x8.min_u(v128.load(at, 16), topCodes);
    const even = i16x8.narrow_i32x4_u(v128.and(left, low16), v128.and(right, low16));
    const odd = i16x8.narrow_i32x4_u(i32x4.shr_u(left, 16), i32x4.shr_u(right, 16));
    countEightPairs(s.lumaCounts, s.lumaPairs, even, odd);
    if (counted) {
      bumpEight(s.redCounts, i16x8.add(even, places(red)));
      bumpEight(s.greenCounts, i16x8.add(even, places(green)));
      bumpEight(s.blueCounts, i16x8.add(even, places(blue)));
    }
    const darker = i16x8.add(i16x8.mul(i16x8.min_u(even, odd), codeShorts), below);
    const high = i16x8.add(i16x8.mul(i16x8.max_u(even, odd), codeShorts), above);
    most = i16x8.max_s(most, high);
    least = i16x8.min_s(least, darker);
    if (v128.any_true(v128.or(i16x8.gt_s(high, limitHigh), i16x8.lt_s(darker, limitLow)))) {
      if (first < 0) first = x;
      last = x + 15;
    }
    if (kind !== 0) {
      const first = i16x8.mul(even, codeShorts);
      if (kind === 1) {
        const from = i16x8.sub(above, lightFrom);
        bumpEight(s.lightCounts, shortLightBins(first, from));
        bumpEight(s.lightCounts, shortLightBins(i16x8.mul(odd, codeShorts), from));
      } else if (kind === 2) {
        const second = i16x8.mul(odd, codeShorts);
        countDisplayed(i16x8.add(first, red), i16x8.add(first, green), i16x8.add(first, blue));
        countDisplayed(i16x8.add(second, red), i16x8.add(second, green), i16x8.add(second, blue));
        if (v128.any_true(i16x8.gt_s(high, i16x8.splat(<i16>brightShort)))) {
          noteShared(x);
          noteShared(x + 8);
        }
      } else {
        countScene(i16x8.add(first, red), i16x8.add(first, green), i16x8.add(first, blue));
      }
      if (testsP3) {
        // The darker pixel of a pair has less allowed to it.
        const most = i16x8.add(darker, i16x8.sub(above, below));
        const far = v128.or(
          v128.or(
            tooFar(most, i16x8.sub(above, red), baseReds, slopeReds, capReds),
            tooFar(most, i16x8.sub(above, green), baseGreens, slopeGreens, capGreens),
          ),
          tooFar(most, i16x8.sub(above, blue), baseBlues, slopeBlues, capBlues),
        );
        const found = i16x8.bitmask(far);
        if ((found & 15) !== 0) judgeShared(x);
        if (found > 15) judgeShared(x + 8);
      }
    }
  }
  firstShortMark = first;
  lastShortMark = last;
  const high = highestSigned(most);
  const low = lowestSigned(least);
  store<i16>(s.shortMost + ((<usize>y) << 1), <i16>high);
  store<i16>(s.shortLeast + ((<usize>y) << 1), <i16>low);
  mostShort = max(mostShort, high);
  leastShort = min(leastShort, low);
}

/** Bins of black pixels with these shares. */
function places(shares: v128): v128 {
  return i16x8.shr_s(i16x8.sub(shares, rgbFroms), s.codeShift - SHORT_BITS);
}

/** Bins of PQ light, a short step each. */
function shortLightBins(luma: v128, above: v128): v128 {
  return i16x8.max_s(i16x8.min_s(i16x8.add(luma, above), lightLasts), i16x8.splat(0));
}

/** Whether a channel lies so far below the largest, `most`, that it may be outside P3. */
function tooFar(most: v128, spread: v128, base: v128, slope: v128, cap: v128): v128 {
  const allowed = i16x8.add_sat_s(base, i16x8.q15mulr_sat_s(most, slope));
  return i16x8.gt_s(spread, i16x8.min_s(allowed, cap));
}

/** Whether the row may hold the largest or the smallest exact sum of the frame, once all rows are measured. */
export function mayHoldExtremes(y: i32): bool {
  const at = (<usize>y) << 1;
  return (
    <i32>load<i16>(s.shortMost + at) >= mostShort - 2 * SLACK ||
    <i32>load<i16>(s.shortLeast + at) <= leastShort + 2 * SLACK
  );
}

export let mostOfRow: i32 = 0;
export let leastOfRow: i32 = 0;

/** Exact extremes of the first `whole` pixels of the open row. */
export function exactExtremes(whole: i32): void {
  const top = i16x8.splat(<i16>s.topCode);
  const low16 = i32x4.splat(0xffff);
  // A product is quicker than a shift by a width that is no constant.
  const scale = i32x4.splat(1 << s.codeShift);
  let most = i32x4.splat(i32.MIN_VALUE);
  let least = i32x4.splat(i32.MAX_VALUE);
  for (let x = 0; x < whole; x += 8) {
    const codes = i16x8.min_u(v128.load(mainRow + ((<usize>x) << 1)), top);
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
  mostOfRow = max(
    max(i32x4.extract_lane(most, 0), i32x4.extract_lane(most, 1)),
    max(i32x4.extract_lane(most, 2), i32x4.extract_lane(most, 3)),
  );
  leastOfRow = min(
    min(i32x4.extract_lane(least, 0), i32x4.extract_lane(least, 1)),
    min(i32x4.extract_lane(least, 2), i32x4.extract_lane(least, 3)),
  );
}
