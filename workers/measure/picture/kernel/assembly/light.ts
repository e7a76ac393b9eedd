import { blueOf, chromaAt, greenOf, redOf } from './chroma';
import { countPowers, isLit, noteBrightest, powerOf } from './displayed-light';
import { bump } from './histogram';
import { linearFour } from './light-tables';
import {
  blue,
  cbRow,
  crRow,
  green,
  loadPixel,
  loadShort,
  mainRow,
  red,
  shortBlue,
  shortGreen,
  shortRed,
} from './pixels';
import { PQ_BIN_BITS, SHORT_BITS } from './shifts';
import { topCodes } from './splats';
import * as s from './state';

export let outsideP3: i32 = 0;
export function openLight(): void {
  outsideP3 = 0;
}

function weighed(row: usize, r: v128, g: v128, b: v128): v128 {
  const first = f32x4.mul(v128.load32_splat(s.p3Matrix + row), r);
  const second = f32x4.mul(v128.load32_splat(s.p3Matrix + row, 4), g);
  return f32x4.add(f32x4.add(first, second), f32x4.mul(v128.load32_splat(s.p3Matrix + row, 8), b));
}

/** Bits of the pixels of linear BT.2020 light outside P3 by more than the tolerance. Single precision, in the order of the oracle. */
export function outsideFour(r: v128, g: v128, b: v128): i32 {
  const most = f32x4.pmax(f32x4.pmax(r, g), b);
  const limit = f32x4.mul(f32x4.splat(<f32>-s.p3Tolerance), most);
  const far = v128.or(
    v128.or(f32x4.lt(weighed(0, r, g, b), limit), f32x4.lt(weighed(12, r, g, b), limit)),
    f32x4.lt(weighed(24, r, g, b), limit),
  );
  return i32x4.bitmask(far);
}

/** Pixels of these steps, one or four of them, that may lie outside P3. */
export function judgeFour(reds: v128, greens: v128, blues: v128, pixels: i32): void {
  const r = linearFour(reds);
  const g = linearFour(greens);
  const b = linearFour(blues);
  countOutsideP3(r, g, b, s.lightKind === 2 ? isLit(powerOf(r, g, b)) : isBright(r, g, b), pixels);
}

function isBright(r: v128, g: v128, b: v128): v128 {
  return f32x4.ge(f32x4.pmax(f32x4.pmax(r, g), b), f32x4.splat(<f32>s.p3FloorNits));
}

function countOutsideP3(r: v128, g: v128, b: v128, lit: v128, pixels: i32): void {
  outsideP3 += popcnt(outsideFour(r, g, b) & i32x4.bitmask(lit) & ((1 << pixels) - 1));
}

/** HLG: pixels of these steps, one or four of them, by all that is measured of their light. */
export function measureDisplayed(reds: v128, greens: v128, blues: v128, pixels: i32): void {
  const r = linearFour(reds);
  const g = linearFour(greens);
  const b = linearFour(blues);
  const powers = powerOf(r, g, b);
  countPowers(powers, pixels);
  noteBrightest(powers, reds, greens, blues);
  if (s.testsP3 === 0) return;
  const most = f32x4.pmax(f32x4.pmax(r, g), b);
  const lit = isLit(powers);
  const dim = v128.or(
    v128.or(tooDim(r, most, s.p3RedShare), tooDim(g, most, s.p3GreenShare)),
    tooDim(b, most, s.p3BlueShare),
  );
  if (v128.any_true(v128.and(lit, dim))) countOutsideP3(r, g, b, lit, pixels);
}

/** A little more than the share, since this is single precision: the exact test decides. */
function tooDim(channel: v128, most: v128, share: f64): v128 {
  return f32x4.lt(channel, f32x4.mul(f32x4.splat(<f32>(share * 1.001)), most));
}

/** PQ and HLG: the pixel loaded last. */
export function judgeOne(): void {
  const reds = i32x4.splat(red);
  const greens = i32x4.splat(green);
  const blues = i32x4.splat(blue);
  if (s.lightKind === 2) noteFour(reds, greens, blues);
  if (s.testsP3 !== 0) judgeFour(reds, greens, blues, 1);
}

/** HLG: four pixels of these steps, one of which may be the brightest of the frame. */
function noteFour(reds: v128, greens: v128, blues: v128): void {
  noteBrightest(powerOf(linearFour(reds), linearFour(greens), linearFour(blues)), reds, greens, blues);
}

let leftReds: v128 = i32x4.splat(0);
let leftGreens: v128 = i32x4.splat(0);
let leftBlues: v128 = i32x4.splat(0);
let rightReds: v128 = i32x4.splat(0);
let rightGreens: v128 = i32x4.splat(0);
let rightBlues: v128 = i32x4.splat(0);

/** Exact sums of eight pixels of the open row that share their chroma in pairs. */
function loadShared(x: i32): void {
  const codes = i16x8.min_u(v128.load(mainRow + ((<usize>x) << 1)), topCodes);
  const cb = chromaAt(cbRow + <usize>x);
  const cr = chromaAt(crRow + <usize>x);
  const toRed = redOf(cr);
  const toGreen = greenOf(cb, cr);
  const toBlue = blueOf(cb);
  // A product is quicker than a shift by a width that is no constant.
  const scale = i32x4.splat(1 << s.codeShift);
  const left = i32x4.mul(i32x4.extend_low_i16x8_u(codes), scale);
  const right = i32x4.mul(i32x4.extend_high_i16x8_u(codes), scale);
  leftReds = i32x4.add(left, v128.shuffle<i32>(toRed, toRed, 0, 0, 1, 1));
  leftGreens = i32x4.add(left, v128.shuffle<i32>(toGreen, toGreen, 0, 0, 1, 1));
  leftBlues = i32x4.add(left, v128.shuffle<i32>(toBlue, toBlue, 0, 0, 1, 1));
  rightReds = i32x4.add(right, v128.shuffle<i32>(toRed, toRed, 2, 2, 3, 3));
  rightGreens = i32x4.add(right, v128.shuffle<i32>(toGreen, toGreen, 2, 2, 3, 3));
  rightBlues = i32x4.add(right, v128.shuffle<i32>(toBlue, toBlue, 2, 2, 3, 3));
}

/** Eight pixels of the open row that share their chroma in pairs, of which one may lie outside P3. */
export function judgeShared(x: i32): void {
  loadShared(x);
  judgeFour(leftReds, leftGreens, leftBlues, 4);
  judgeFour(rightReds, rightGreens, rightBlues, 4);
}

/** The same where one may be the brightest of the frame. */
export function noteShared(x: i32): void {
  loadShared(x);
  noteFour(leftReds, leftGreens, leftBlues);
  noteFour(rightReds, rightGreens, rightBlues);
}

/** The bin of a pixel with this largest channel, in steps. */
function absoluteBin(most: i32): i32 {
  return min(max((most - s.lightFrom) >> PQ_BIN_BITS, 0), s.lightLastBin);
}

/** Pixels of a row by PQ light, one by one. */
export function absoluteSpan(y: i32, from: i32, to: i32): void {
  for (let x = from; x < to; x++) {
    loadPixel(y, x);
    if (s.sumsShort !== 0) {
      loadShort(y, x);
      bump(s.lightCounts, absoluteBin(max(max(shortRed, shortGreen), shortBlue) << SHORT_BITS));
    } else {
      bump(s.lightCounts, absoluteBin(max(max(red, green), blue)));
    }
    if (s.testsP3) judgeOne();
  }
}
