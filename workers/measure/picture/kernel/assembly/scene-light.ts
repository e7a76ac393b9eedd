import { FLOAT_BIN_SHIFT } from '../../plan/step-bits';
import { Job, Light } from '../records';
import { bump, bumpEight, bumpFour } from './histogram';
import { gatherShorts, linearFour, luminanceOf, shortEntries } from './light-tables';
import { splats } from './splats';

// Camera logs: luminance of the scene, in single precision and in the order of the oracle.

/** Counters of float bins, as offsets in bytes. */
function floatBins(luminance: v128): v128 {
  // Blue of the widest camera gamuts has a negative luminance: what is below zero counts as black.
  const lit = f32x4.pmax(f32x4.splat(0), luminance);
  const bins = i32x4.sub(i32x4.shr_s(lit, FLOAT_BIN_SHIFT), splats.floatBases4);
  const held = i32x4.min_s(i32x4.max_s(bins, i32x4.splat(0)), splats.floatLasts4);
  return i32x4.shl(held, 2);
}

/** Pixels of these steps, one or four of them. */
export function measureScene(job: Job, reds: v128, greens: v128, blues: v128, pixels: i32): void {
  const shift = job.picture.codeShift;
  const table = job.light.table;
  const counts = job.light.counts;
  const brightest = job.light.brightest;
  const most = i32x4.max_s(i32x4.max_s(reds, greens), blues);
  const codes = i32x4.shr_s(i32x4.add(most, i32x4.splat(1 << (shift - 1))), shift);
  const held = i32x4.min_s(i32x4.max_s(codes, i32x4.splat(0)), splats.topCodes4);
  const bins = floatBins(
    luminanceOf(linearFour(table, reds), linearFour(table, greens), linearFour(table, blues)),
  );
  if (pixels === 4) {
    bumpFour(brightest, i32x4.shl(held, 2));
    bumpFour(counts, bins);
  } else {
    bump(brightest, i32x4.extract_lane(held, 0));
    bump(counts, i32x4.extract_lane(bins, 0) >> 2);
  }
}

/** The bins of the largest of short sums, by code; a code is 2^`shift` of them. */
function shortCodes(most: v128, shift: i32): v128 {
  const codes = i16x8.shr_s(i16x8.add(most, i16x8.splat(<i16>((<i32>1) << (shift - 1)))), shift);
  return i16x8.max_s(i16x8.min_s(codes, splats.topCodes), i16x8.splat(0));
}

/** Counts eight pixels by their short sums; a code is 2^`shift` of them. */
export function countScene(light: Light, shift: i32, reds: v128, greens: v128, blues: v128): void {
  const table = light.shortTable;
  const counts = light.counts;
  bumpEight(light.brightest, shortCodes(i16x8.max_s(i16x8.max_s(reds, greens), blues), shift));
  const r = shortEntries(reds);
  const g = shortEntries(greens);
  const b = shortEntries(blues);
  const left = luminanceOf(
    gatherShorts(table, i64x2.extract_lane(r, 0)),
    gatherShorts(table, i64x2.extract_lane(g, 0)),
    gatherShorts(table, i64x2.extract_lane(b, 0)),
  );
  const right = luminanceOf(
    gatherShorts(table, i64x2.extract_lane(r, 1)),
    gatherShorts(table, i64x2.extract_lane(g, 1)),
    gatherShorts(table, i64x2.extract_lane(b, 1)),
  );
  bumpFour(counts, floatBins(left));
  bumpFour(counts, floatBins(right));
}

/** The same for one pixel, the first of the eight. */
export function countSceneOne(light: Light, shift: i32, reds: v128, greens: v128, blues: v128): void {
  const table = light.shortTable;
  const codes = shortCodes(i16x8.max_s(i16x8.max_s(reds, greens), blues), shift);
  bump(light.brightest, i16x8.extract_lane_s(codes, 0));
  const luminance = luminanceOf(
    gatherShorts(table, i64x2.extract_lane(shortEntries(reds), 0)),
    gatherShorts(table, i64x2.extract_lane(shortEntries(greens), 0)),
    gatherShorts(table, i64x2.extract_lane(shortEntries(blues), 0)),
  );
  bump(light.counts, i32x4.extract_lane(floatBins(luminance), 0) >> 2);
}
