import { POWER_SHIFT, SHORT_STEPS } from '../../plan/step-bits';
import { Job, Light, P3 } from '../records';
import { bump, bumpEight, bumpFour } from './histogram';
import { gatherShorts, luminanceOf, shortEntries } from './light-tables';
import { splats } from './splats';

// HLG through the OOTF of its display, by the fifth power of its light, in single precision and in the order
// of the oracle.

export function openDisplayed(job: Job): void {
  const black = job.picture.black;
  const frame = job.frame;
  const results = job.results;
  if (job.light.kind !== 2) return;
  frame.mostPower = job.light.floorPower;
  frame.brightShort = -1;
  results.brightestRed = black;
  results.brightestGreen = black;
  results.brightestBlue = black;
  if (job.shortMatrix.isUsed !== 0) raiseBrightShort(job);
}

/** The fifth power of light. */
export function powerOf(r: v128, g: v128, b: v128): v128 {
  const most = f32x4.pmax(f32x4.pmax(r, g), b);
  const square = f32x4.mul(most, most);
  return f32x4.mul(f32x4.mul(f32x4.mul(square, square), most), luminanceOf(r, g, b));
}

/** Whether light is compared with P3. */
export function isLit(p3: P3, powers: v128): v128 {
  return f32x4.ge(powers, f32x4.splat(p3.floorPower));
}

function powerBins(powers: v128): v128 {
  return i32x4.sub(i32x4.shr_s(powers, POWER_SHIFT), splats.powerBases4);
}

/** Counts one or four pixels. */
export function countPowers(counts: usize, powers: v128, pixels: i32): void {
  const bins = i32x4.max_s(i32x4.min_s(powerBins(powers), splats.lightLasts4), i32x4.splat(0));
  if (pixels === 4) bumpFour(counts, i32x4.shl(bins, 2));
  else bump(counts, i32x4.extract_lane(bins, 0));
}

/** The fifth powers of four short sums, given by their offsets in the table. */
function shortPowers(table: usize, r: i64, g: i64, b: i64): v128 {
  return powerOf(gatherShorts(table, r), gatherShorts(table, g), gatherShorts(table, b));
}

/** Counts eight pixels by their short sums. */
export function countDisplayed(light: Light, reds: v128, greens: v128, blues: v128): void {
  const table = light.shortTable;
  const r = shortEntries(reds);
  const g = shortEntries(greens);
  const b = shortEntries(blues);
  const left = shortPowers(
    table,
    i64x2.extract_lane(r, 0),
    i64x2.extract_lane(g, 0),
    i64x2.extract_lane(b, 0),
  );
  const right = shortPowers(
    table,
    i64x2.extract_lane(r, 1),
    i64x2.extract_lane(g, 1),
    i64x2.extract_lane(b, 1),
  );
  const bins = i16x8.narrow_i32x4_s(powerBins(left), powerBins(right));
  bumpEight(light.counts, i16x8.max_s(i16x8.min_s(bins, splats.lightLasts), i16x8.splat(0)));
}

/** The same for one pixel, the first of the eight. */
export function countDisplayedOne(light: Light, reds: v128, greens: v128, blues: v128): void {
  const r = i64x2.extract_lane(shortEntries(reds), 0);
  const g = i64x2.extract_lane(shortEntries(greens), 0);
  const b = i64x2.extract_lane(shortEntries(blues), 0);
  countPowers(light.counts, shortPowers(light.shortTable, r, g, b), 1);
}

/** The first pixel of the most light, in raster order, of four with these powers and steps. */
export function noteBrightest(job: Job, powers: v128, reds: v128, greens: v128, blues: v128): void {
  if (!v128.any_true(f32x4.gt(powers, f32x4.splat(job.frame.mostPower)))) return;
  note(
    job,
    f32x4.extract_lane(powers, 0),
    i32x4.extract_lane(reds, 0),
    i32x4.extract_lane(greens, 0),
    i32x4.extract_lane(blues, 0),
  );
  note(
    job,
    f32x4.extract_lane(powers, 1),
    i32x4.extract_lane(reds, 1),
    i32x4.extract_lane(greens, 1),
    i32x4.extract_lane(blues, 1),
  );
  note(
    job,
    f32x4.extract_lane(powers, 2),
    i32x4.extract_lane(reds, 2),
    i32x4.extract_lane(greens, 2),
    i32x4.extract_lane(blues, 2),
  );
  note(
    job,
    f32x4.extract_lane(powers, 3),
    i32x4.extract_lane(reds, 3),
    i32x4.extract_lane(greens, 3),
    i32x4.extract_lane(blues, 3),
  );
  if (job.shortMatrix.isUsed !== 0) raiseBrightShort(job);
}

function note(job: Job, power: f32, r: i32, g: i32, b: i32): void {
  const results = job.results;
  if (power <= job.frame.mostPower) return;
  job.frame.mostPower = power;
  results.brightestRed = r;
  results.brightestGreen = g;
  results.brightestBlue = b;
}

/**
 * Of all colours with the same largest channel the neutral one is the brightest: its light to the sixth
 * power. An exact sum lies less than a short step above the short one, with half an entry of the table of
 * light.
 */
function raiseBrightShort(job: Job): void {
  const table = job.light.shortTable;
  const mostPower = job.frame.mostPower;
  let bright = job.frame.brightShort;
  for (; bright < SHORT_STEPS; bright++) {
    const most = load<f32>(table + ((<usize>min(bright + 2, SHORT_STEPS - 1)) << 2));
    // A little more than the power, since this is single precision.
    if (most * most * most * most * most * most * 1.00001 > mostPower) break;
  }
  job.frame.brightShort = bright;
}
