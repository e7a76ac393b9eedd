import { bump, bumpFour } from './histogram';
import { isOutsideP3 } from './light';
import { LIGHT_STEP_BITS } from './shifts';
import * as s from './state';
import { fillSteps, ROW_ROOM } from './steps';

// Light that depends on all three channels of a pixel: HLG through the OOTF of its display, camera logs as luminance of the scene. Four
// pixels at a time, in single precision and in the order of the oracle, so that every figure is the same to the last bit.

export let lightSum: f64 = 0;
export let mostLight: f32 = 0;
export let brightestRed: i32 = 0;
export let brightestGreen: i32 = 0;
export let brightestBlue: i32 = 0;
export let outsideDisplayedP3: i32 = 0;

export function openLightRows(): void {
  lightSum = 0;
  mostLight = -1;
  outsideDisplayedP3 = 0;
}

/** The row in fours, then pixel by pixel. */
export function measureLightRow(row: usize): void {
  const stride = (<usize>(s.width + ROW_ROOM)) << 2;
  const reds = s.paddedRows;
  const greens = reds + stride;
  const blues = greens + stride;
  fillSteps(row, 0, s.width, 0, reds, greens, blues);
  const whole = s.width & ~3;
  for (let x = 0; x < whole; x += 4) {
    const at = (<usize>x) << 2;
    measureFour(v128.load(reds + at), v128.load(greens + at), v128.load(blues + at), 4);
  }
  for (let x = whole; x < s.width; x++) {
    const at = (<usize>x) << 2;
    measureFour(
      v128.load32_splat(reds + at),
      v128.load32_splat(greens + at),
      v128.load32_splat(blues + at),
      1,
    );
  }
}

function measureFour(reds: v128, greens: v128, blues: v128, pixels: i32): void {
  if (s.lightKind === 2) displayed(reds, greens, blues, pixels);
  else scene(reds, greens, blues, pixels);
}

/** Four floats of a table at these offsets in bytes. */
function gather(table: usize, offsets: v128): v128 {
  let four = v128.load32_zero(table + <usize>i32x4.extract_lane(offsets, 0));
  four = v128.load32_lane(table + <usize>i32x4.extract_lane(offsets, 1), four, 1);
  four = v128.load32_lane(table + <usize>i32x4.extract_lane(offsets, 2), four, 2);
  return v128.load32_lane(table + <usize>i32x4.extract_lane(offsets, 3), four, 3);
}

function linearFour(steps: v128): v128 {
  const entries = i32x4.shr_s(i32x4.sub(steps, i32x4.splat(s.linearFrom)), LIGHT_STEP_BITS);
  return gather(s.linearTable, i32x4.shl(entries, 2));
}

function luminanceOf(r: v128, g: v128, b: v128): v128 {
  const red4 = f32x4.mul(f32x4.splat(<f32>s.lumaRed), r);
  const green4 = f32x4.mul(f32x4.splat(<f32>s.lumaGreen), g);
  const blue4 = f32x4.mul(f32x4.splat(<f32>s.lumaBlue), b);
  return f32x4.add(f32x4.add(red4, green4), blue4);
}

/** Counters of float bins, as offsets in bytes. */
function floatBins(values: v128): v128 {
  const bins = i32x4.sub(i32x4.shr_s(values, s.floatBinShift), i32x4.splat(s.floatBinBase));
  const held = i32x4.min_s(i32x4.max_s(bins, i32x4.splat(0)), i32x4.splat(s.floatBinLast));
  return i32x4.shl(held, 2);
}

function count(offsets: v128, pixels: i32): void {
  if (pixels === 4) bumpFour(s.lightCounts, offsets);
  else bump(s.lightCounts, i32x4.extract_lane(offsets, 0) >> 2);
}

function displayed(reds: v128, greens: v128, blues: v128, pixels: i32): void {
  const r = linearFour(reds);
  const g = linearFour(greens);
  const b = linearFour(blues);
  const most = f32x4.pmax(f32x4.pmax(r, g), b);
  const luminance = luminanceOf(r, g, b);
  const entries = i32x4.sub(i32x4.shr_s(luminance, s.factorShift), i32x4.splat(s.factorBase));
  const held = i32x4.min_s(i32x4.max_s(entries, i32x4.splat(0)), i32x4.splat(s.factorLast));
  const nits = f32x4.mul(most, gather(s.factorTable, i32x4.shl(held, 2)));
  let sum = lightSum + <f64>f32x4.extract_lane(nits, 0);
  if (pixels === 4) {
    sum += <f64>f32x4.extract_lane(nits, 1);
    sum += <f64>f32x4.extract_lane(nits, 2);
    sum += <f64>f32x4.extract_lane(nits, 3);
  }
  lightSum = sum;
  if (v128.any_true(f32x4.gt(nits, f32x4.splat(mostLight)))) noteBrightest(nits, reds, greens, blues);
  count(floatBins(nits), pixels);
  if (s.testsP3 === 0) return;
  const dim = f32x4.pmin(f32x4.pmin(r, g), b);
  const lit = f32x4.ge(nits, f32x4.splat(<f32>s.p3FloorNits));
  // A little more than the share, since this is single precision: the exact test decides.
  const share = f32x4.splat(<f32>(s.p3LeastShare * 1.001));
  const colourful = v128.and(lit, f32x4.lt(dim, f32x4.mul(share, most)));
  if (!v128.any_true(colourful)) return;
  judge(i32x4.bitmask(colourful) & ((1 << pixels) - 1), r, g, b);
}

function judge(which: i32, r: v128, g: v128, b: v128): void {
  let found = 0;
  if (which & 1)
    found += outside(f32x4.extract_lane(r, 0), f32x4.extract_lane(g, 0), f32x4.extract_lane(b, 0));
  if (which & 2)
    found += outside(f32x4.extract_lane(r, 1), f32x4.extract_lane(g, 1), f32x4.extract_lane(b, 1));
  if (which & 4)
    found += outside(f32x4.extract_lane(r, 2), f32x4.extract_lane(g, 2), f32x4.extract_lane(b, 2));
  if (which & 8)
    found += outside(f32x4.extract_lane(r, 3), f32x4.extract_lane(g, 3), f32x4.extract_lane(b, 3));
  outsideDisplayedP3 += found;
}

function outside(r: f32, g: f32, b: f32): i32 {
  return isOutsideP3(<f64>r, <f64>g, <f64>b, 0) ? 1 : 0;
}

/** The first pixel of the most light, in raster order. */
function noteBrightest(nits: v128, reds: v128, greens: v128, blues: v128): void {
  note(
    f32x4.extract_lane(nits, 0),
    i32x4.extract_lane(reds, 0),
    i32x4.extract_lane(greens, 0),
    i32x4.extract_lane(blues, 0),
  );
  note(
    f32x4.extract_lane(nits, 1),
    i32x4.extract_lane(reds, 1),
    i32x4.extract_lane(greens, 1),
    i32x4.extract_lane(blues, 1),
  );
  note(
    f32x4.extract_lane(nits, 2),
    i32x4.extract_lane(reds, 2),
    i32x4.extract_lane(greens, 2),
    i32x4.extract_lane(blues, 2),
  );
  note(
    f32x4.extract_lane(nits, 3),
    i32x4.extract_lane(reds, 3),
    i32x4.extract_lane(greens, 3),
    i32x4.extract_lane(blues, 3),
  );
}

function note(nits: f32, r: i32, g: i32, b: i32): void {
  if (nits <= mostLight) return;
  mostLight = nits;
  brightestRed = r;
  brightestGreen = g;
  brightestBlue = b;
}

function scene(reds: v128, greens: v128, blues: v128, pixels: i32): void {
  const most = i32x4.max_s(i32x4.max_s(reds, greens), blues);
  const codes = i32x4.shr_s(i32x4.add(most, i32x4.splat(1 << (s.codeShift - 1))), s.codeShift);
  const held = i32x4.min_s(i32x4.max_s(codes, i32x4.splat(0)), i32x4.splat(s.topCode));
  const luminance = luminanceOf(linearFour(reds), linearFour(greens), linearFour(blues));
  // Blue of the widest camera gamuts has a negative luminance: what is below zero counts as black.
  const lit = f32x4.pmax(f32x4.splat(0), luminance);
  if (pixels === 4) bumpFour(s.brightestCounts, i32x4.shl(held, 2));
  else bump(s.brightestCounts, i32x4.extract_lane(held, 0));
  count(floatBins(lit), pixels);
}
