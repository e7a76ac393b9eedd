import { blueOf, chromaAt, greenOf, redOf } from './chroma';
import { bump, bumpFour } from './histogram';
import { gather, linearFour, outsideFour } from './light';
import { blue, cbRow, crRow, green, loadPixel, mainRow, red } from './pixels';
import { ROW_ROOM } from './sizes';
import * as s from './state';
import { fillSteps } from './steps';

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

/** The open row. */
export function measureLightRow(y: i32): void {
  if (s.lightKind === 3 && s.countedPixels > 1) sceneRow(y);
  else wholeRow(y);
}

/** All pixels, in fours, then one by one. */
function wholeRow(y: i32): void {
  const stride = (<usize>(s.width + ROW_ROOM)) << 2;
  const reds = s.paddedRows;
  const greens = reds + stride;
  const blues = greens + stride;
  fillSteps(y, 0, s.width, 0, reds, greens, blues);
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

/** Light of the scene at the pixels that have a sample of chroma to themselves. */
function sceneRow(y: i32): void {
  const top = i16x8.splat(<i16>s.topCode);
  const scale = i32x4.splat(1 << s.codeShift);
  const whole = s.countedPixels === 2 ? s.width & ~7 : 0;
  for (let x = 0; x < whole; x += 8) {
    const codes = i16x8.min_u(v128.load(mainRow + ((<usize>x) << 1)), top);
    const luma = i32x4.mul(v128.and(codes, i32x4.splat(0xffff)), scale);
    const cb = chromaAt(cbRow + <usize>x);
    const cr = chromaAt(crRow + <usize>x);
    scene(i32x4.add(luma, redOf(cr)), i32x4.add(luma, greenOf(cb, cr)), i32x4.add(luma, blueOf(cb)), 4);
  }
  for (let x = whole; x < s.width; x += s.countedPixels) {
    loadPixel(y, x);
    scene(i32x4.splat(red), i32x4.splat(green), i32x4.splat(blue), 1);
  }
}

function measureFour(reds: v128, greens: v128, blues: v128, pixels: i32): void {
  if (s.lightKind === 2) displayed(reds, greens, blues, pixels);
  else scene(reds, greens, blues, pixels);
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
  const lit = f32x4.ge(nits, f32x4.splat(<f32>s.p3FloorNits));
  const colourful = v128.and(
    lit,
    v128.or(
      v128.or(tooDim(r, most, s.p3RedShare), tooDim(g, most, s.p3GreenShare)),
      tooDim(b, most, s.p3BlueShare),
    ),
  );
  if (!v128.any_true(colourful)) return;
  outsideDisplayedP3 += popcnt(outsideFour(r, g, b) & i32x4.bitmask(lit) & ((1 << pixels) - 1));
}

/** A little more than the share, since this is single precision: the exact test decides. */
function tooDim(channel: v128, most: v128, share: f64): v128 {
  return f32x4.lt(channel, f32x4.mul(f32x4.splat(<f32>(share * 1.001)), most));
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
