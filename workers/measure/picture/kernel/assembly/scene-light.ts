import { FLOAT_BIN_BASE, FLOAT_BIN_SHIFT, FLOAT_BINS, SHORT_BITS } from '../../plan/step-bits';
import { Job } from '../records';
import { bump, bumpEight, bumpFour } from './histogram';
import { gatherShorts, linearFour, luminanceOf, shortEntries } from './light-tables';
import { splats } from './splats';

// Camera logs: luminance of the scene, in single precision and in the order of the oracle.

/** Counters of float bins, as offsets in bytes. */
function floatBins(luminance: v128): v128 {
  // Blue of the widest camera gamuts has a negative luminance: what is below zero counts as black.
  const lit = f32x4.pmax(f32x4.splat(0), luminance);
  const bins = i32x4.sub(i32x4.shr_s(lit, FLOAT_BIN_SHIFT), i32x4.splat(FLOAT_BIN_BASE));
  const held = i32x4.min_s(i32x4.max_s(bins, i32x4.splat(0)), i32x4.splat(FLOAT_BINS));
  return i32x4.shl(held, 2);
}

/** Pixels of these steps, one or four of them. */
export function measureScene(job: Job, reds: v128, greens: v128, blues: v128, pixels: i32): void {
  const shift = job.picture.codeShift;
  const table = job.light.table;
  const counts = job.histograms.light;
  const brightest = job.histograms.brightest;
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

/** The bins of the largest of short sums, by code; a code is 2^`shift` short steps. */
function shortCodes(most: v128, shift: i32): v128 {
  const codes = i16x8.shr_s(i16x8.add(most, i16x8.splat(<i16>((<i32>1) << (shift - 1)))), shift);
  return i16x8.max_s(i16x8.min_s(codes, splats.topCodes), i16x8.splat(0));
}

/** The bins of light of four short sums, given by their offsets in the table. */
function shortBins(table: usize, r: i64, g: i64, b: i64): v128 {
  return floatBins(luminanceOf(gatherShorts(table, r), gatherShorts(table, g), gatherShorts(table, b)));
}

/** Counts eight pixels by their short sums. */
export function countScene(job: Job, reds: v128, greens: v128, blues: v128): void {
  const table = job.light.shortTable;
  const counts = job.histograms.light;
  const most = i16x8.max_s(i16x8.max_s(reds, greens), blues);
  bumpEight(job.histograms.brightest, shortCodes(most, job.picture.codeShift - SHORT_BITS));
  const r = shortEntries(reds);
  const g = shortEntries(greens);
  const b = shortEntries(blues);
  bumpFour(
    counts,
    shortBins(table, i64x2.extract_lane(r, 0), i64x2.extract_lane(g, 0), i64x2.extract_lane(b, 0)),
  );
  bumpFour(
    counts,
    shortBins(table, i64x2.extract_lane(r, 1), i64x2.extract_lane(g, 1), i64x2.extract_lane(b, 1)),
  );
}

/** The same for one pixel, the first of the eight. */
export function countSceneOne(job: Job, reds: v128, greens: v128, blues: v128): void {
  const most = i16x8.max_s(i16x8.max_s(reds, greens), blues);
  const codes = shortCodes(most, job.picture.codeShift - SHORT_BITS);
  bump(job.histograms.brightest, i16x8.extract_lane_s(codes, 0));
  const bins = shortBins(
    job.light.shortTable,
    i64x2.extract_lane(shortEntries(reds), 0),
    i64x2.extract_lane(shortEntries(greens), 0),
    i64x2.extract_lane(shortEntries(blues), 0),
  );
  bump(job.histograms.light, i32x4.extract_lane(bins, 0) >> 2);
}
