import { bump, bumpEight, bumpFour } from './histogram';
import { gatherShorts, luminanceOf, shortEntries } from './light-tables';
import { POWER_SHIFT } from './shifts';
import { SHORT_STEPS } from './sizes';
import { lightLasts, powerBases } from './splats';
import * as s from './state';

// HLG through the OOTF of its display, by the fifth power of its light, in single precision and in the order of the oracle.

let mostPower: f32 = 0;
export let brightestRed: i32 = 0;
export let brightestGreen: i32 = 0;
export let brightestBlue: i32 = 0;
/** No pixel whose largest short sum is this or less can be the brightest. */
export let brightShort: i32 = -1;

export function openDisplayed(): void {
  if (s.lightKind !== 2) return;
  mostPower = <f32>s.floorPower;
  brightestRed = s.black;
  brightestGreen = s.black;
  brightestBlue = s.black;
  brightShort = -1;
  if (s.sumsShort !== 0) raiseBrightShort();
}

/** The fifth power of light. */
export function powerOf(r: v128, g: v128, b: v128): v128 {
  const most = f32x4.pmax(f32x4.pmax(r, g), b);
  const square = f32x4.mul(most, most);
  return f32x4.mul(f32x4.mul(f32x4.mul(square, square), most), luminanceOf(r, g, b));
}

/** Whether light is held against P3. */
export function isLit(powers: v128): v128 {
  return f32x4.ge(powers, f32x4.splat(<f32>s.p3FloorPower));
}

function powerBins(powers: v128): v128 {
  return i32x4.sub(i32x4.shr_s(powers, POWER_SHIFT), powerBases);
}

/** Counts one or four pixels. */
export function countPowers(powers: v128, pixels: i32): void {
  const bins = i32x4.max_s(i32x4.min_s(powerBins(powers), i32x4.splat(s.lightLastBin)), i32x4.splat(0));
  if (pixels === 4) bumpFour(s.lightCounts, i32x4.shl(bins, 2));
  else bump(s.lightCounts, i32x4.extract_lane(bins, 0));
}

/** The fifth powers of four short sums, given by their offsets in the table. */
function shortPowers(r: i64, g: i64, b: i64): v128 {
  return powerOf(gatherShorts(r), gatherShorts(g), gatherShorts(b));
}

/** Counts eight pixels by their short sums. */
export function countDisplayed(reds: v128, greens: v128, blues: v128): void {
  const r = shortEntries(reds);
  const g = shortEntries(greens);
  const b = shortEntries(blues);
  const left = shortPowers(i64x2.extract_lane(r, 0), i64x2.extract_lane(g, 0), i64x2.extract_lane(b, 0));
  const right = shortPowers(i64x2.extract_lane(r, 1), i64x2.extract_lane(g, 1), i64x2.extract_lane(b, 1));
  const bins = i16x8.narrow_i32x4_s(powerBins(left), powerBins(right));
  bumpEight(s.lightCounts, i16x8.max_s(i16x8.min_s(bins, lightLasts), i16x8.splat(0)));
}

/** The same for one pixel. */
export function countDisplayedOne(red: v128, green: v128, blue: v128): void {
  const r = i64x2.extract_lane(shortEntries(red), 0);
  const g = i64x2.extract_lane(shortEntries(green), 0);
  const b = i64x2.extract_lane(shortEntries(blue), 0);
  countPowers(shortPowers(r, g, b), 1);
}

/** The first pixel of the most light, in raster order, of four with these powers and steps. */
export function noteBrightest(powers: v128, reds: v128, greens: v128, blues: v128): void {
  if (!v128.any_true(f32x4.gt(powers, f32x4.splat(mostPower)))) return;
  note(
    f32x4.extract_lane(powers, 0),
    i32x4.extract_lane(reds, 0),
    i32x4.extract_lane(greens, 0),
    i32x4.extract_lane(blues, 0),
  );
  note(
    f32x4.extract_lane(powers, 1),
    i32x4.extract_lane(reds, 1),
    i32x4.extract_lane(greens, 1),
    i32x4.extract_lane(blues, 1),
  );
  note(
    f32x4.extract_lane(powers, 2),
    i32x4.extract_lane(reds, 2),
    i32x4.extract_lane(greens, 2),
    i32x4.extract_lane(blues, 2),
  );
  note(
    f32x4.extract_lane(powers, 3),
    i32x4.extract_lane(reds, 3),
    i32x4.extract_lane(greens, 3),
    i32x4.extract_lane(blues, 3),
  );
  if (s.sumsShort !== 0) raiseBrightShort();
}

function note(power: f32, r: i32, g: i32, b: i32): void {
  if (power <= mostPower) return;
  mostPower = power;
  brightestRed = r;
  brightestGreen = g;
  brightestBlue = b;
}

/**
 * Of all colours with the same largest channel the neutral one is the brightest: its light to the sixth power. An exact sum lies less than a short step
 * above the short one, with half an entry of the table of light.
 */
function raiseBrightShort(): void {
  while (brightShort < SHORT_STEPS) {
    const most = load<f32>(s.shortTable + ((<usize>min(brightShort + 2, SHORT_STEPS - 1)) << 2));
    // A little more than the power, since this is single precision.
    if (most * most * most * most * most * most * 1.00001 > mostPower) return;
    brightShort++;
  }
}
