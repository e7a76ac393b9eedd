import { bump, bumpEight, bumpFour } from './histogram';
import { gatherShorts, linearFour, luminanceOf, shortEntries } from './light-tables';
import { SHORT_BITS } from './shifts';
import { topCodes } from './splats';
import * as s from './state';

// Camera logs: luminance of the scene, in single precision and in the order of the oracle.

/** Counters of float bins, as offsets in bytes. */
function floatBins(luminance: v128): v128 {
  // Blue of the widest camera gamuts has a negative luminance: what is below zero counts as black.
  const lit = f32x4.pmax(f32x4.splat(0), luminance);
  const bins = i32x4.sub(i32x4.shr_s(lit, s.floatBinShift), i32x4.splat(s.floatBinBase));
  const held = i32x4.min_s(i32x4.max_s(bins, i32x4.splat(0)), i32x4.splat(s.floatBinLast));
  return i32x4.shl(held, 2);
}

/** Pixels of these steps, one or four of them. */
export function measureScene(reds: v128, greens: v128, blues: v128, pixels: i32): void {
  const most = i32x4.max_s(i32x4.max_s(reds, greens), blues);
  const codes = i32x4.shr_s(i32x4.add(most, i32x4.splat(1 << (s.codeShift - 1))), s.codeShift);
  const held = i32x4.min_s(i32x4.max_s(codes, i32x4.splat(0)), i32x4.splat(s.topCode));
  const bins = floatBins(luminanceOf(linearFour(reds), linearFour(greens), linearFour(blues)));
  if (pixels === 4) {
    bumpFour(s.brightestCounts, i32x4.shl(held, 2));
    bumpFour(s.lightCounts, bins);
  } else {
    bump(s.brightestCounts, i32x4.extract_lane(held, 0));
    bump(s.lightCounts, i32x4.extract_lane(bins, 0) >> 2);
  }
}

/** The bin of the largest of short sums, by code. */
function shortCodes(most: v128): v128 {
  const shift = s.codeShift - SHORT_BITS;
  const codes = i16x8.shr_s(i16x8.add(most, i16x8.splat(<i16>((<i32>1) << (shift - 1)))), shift);
  return i16x8.max_s(i16x8.min_s(codes, topCodes), i16x8.splat(0));
}

/** Counts eight pixels by their short sums. */
export function countScene(reds: v128, greens: v128, blues: v128): void {
  bumpEight(s.brightestCounts, shortCodes(i16x8.max_s(i16x8.max_s(reds, greens), blues)));
  const r = shortEntries(reds);
  const g = shortEntries(greens);
  const b = shortEntries(blues);
  const left = luminanceOf(
    gatherShorts(i64x2.extract_lane(r, 0)),
    gatherShorts(i64x2.extract_lane(g, 0)),
    gatherShorts(i64x2.extract_lane(b, 0)),
  );
  const right = luminanceOf(
    gatherShorts(i64x2.extract_lane(r, 1)),
    gatherShorts(i64x2.extract_lane(g, 1)),
    gatherShorts(i64x2.extract_lane(b, 1)),
  );
  bumpFour(s.lightCounts, floatBins(left));
  bumpFour(s.lightCounts, floatBins(right));
}

/** The same for one pixel. */
export function countSceneOne(reds: v128, greens: v128, blues: v128): void {
  bump(s.brightestCounts, i16x8.extract_lane_s(shortCodes(i16x8.max_s(i16x8.max_s(reds, greens), blues)), 0));
  const luminance = luminanceOf(
    gatherShorts(i64x2.extract_lane(shortEntries(reds), 0)),
    gatherShorts(i64x2.extract_lane(shortEntries(greens), 0)),
    gatherShorts(i64x2.extract_lane(shortEntries(blues), 0)),
  );
  bump(s.lightCounts, i32x4.extract_lane(floatBins(luminance), 0) >> 2);
}
