import { PQ_BIN_BITS, SHORT_BITS } from '../../plan/step-bits';
import { Job, Light, P3 } from '../records';
import { blueOf, chromaAt, greenOf, redOf } from './chroma';
import { countPowers, isLit, noteBrightest, powerOf } from './displayed-light';
import { bump, bumpFour } from './histogram';
import { linearFour } from './light-tables';
import { blueOfPixel, greenOfPixel, loadShort, redOfPixel } from './pixels';
import { splats } from './splats';
import { channelBytes } from './steps';

function weighed(row: usize, r: v128, g: v128, b: v128): v128 {
  const first = f32x4.mul(v128.load32_splat(row), r);
  const second = f32x4.mul(v128.load32_splat(row, 4), g);
  return f32x4.add(f32x4.add(first, second), f32x4.mul(v128.load32_splat(row, 8), b));
}

/**
 * Bits of the pixels of linear BT.2020 light outside P3 by more than the tolerance. Single precision, in the
 * order of the oracle.
 */
function outsideFour(p3: P3, r: v128, g: v128, b: v128): i32 {
  const matrix = p3.matrix;
  const most = f32x4.pmax(f32x4.pmax(r, g), b);
  const limit = f32x4.mul(f32x4.splat(p3.tolerance), most);
  const far = v128.or(
    v128.or(f32x4.lt(weighed(matrix, r, g, b), limit), f32x4.lt(weighed(matrix + 12, r, g, b), limit)),
    f32x4.lt(weighed(matrix + 24, r, g, b), limit),
  );
  return i32x4.bitmask(far);
}

/**
 * Whether one of the four pixels has a channel so far below the largest that it may be outside P3. All in
 * steps.
 */
export function mayLeaveP3(most: v128, red4: v128, green4: v128, blue4: v128): bool {
  const most64 = i32x4.shr_s(most, 6);
  const far = v128.or(
    v128.or(
      tooFar(most64, i32x4.sub(most, red4), splats.baseReds4, splats.slopeReds4, splats.capReds4),
      tooFar(most64, i32x4.sub(most, green4), splats.baseGreens4, splats.slopeGreens4, splats.capGreens4),
    ),
    tooFar(most64, i32x4.sub(most, blue4), splats.baseBlues4, splats.slopeBlues4, splats.capBlues4),
  );
  return v128.any_true(far);
}

function tooFar(most64: v128, spread: v128, base: v128, slope: v128, cap: v128): v128 {
  const allowed = i32x4.add(base, i32x4.shr_s(i32x4.mul(most64, slope), 12));
  return i32x4.gt_s(i32x4.shr_s(spread, 6), i32x4.min_s(allowed, cap));
}

/** Pixels of these steps, one or four of them, that may lie outside P3. */
export function judgeFour(job: Job, reds: v128, greens: v128, blues: v128, pixels: i32): void {
  const p3 = job.p3;
  const table = job.light.table;
  const r = linearFour(table, reds);
  const g = linearFour(table, greens);
  const b = linearFour(table, blues);
  const lit = job.light.kind === 2 ? isLit(p3, powerOf(r, g, b)) : isBright(p3, r, g, b);
  countOutsideP3(job, pixels, lit, r, g, b);
}

function isBright(p3: P3, r: v128, g: v128, b: v128): v128 {
  return f32x4.ge(f32x4.pmax(f32x4.pmax(r, g), b), f32x4.splat(p3.floorNits));
}

function countOutsideP3(job: Job, pixels: i32, lit: v128, r: v128, g: v128, b: v128): void {
  const found = outsideFour(job.p3, r, g, b) & i32x4.bitmask(lit) & ((1 << pixels) - 1);
  job.results.outsideP3 += popcnt(found);
}

/** HLG: pixels of these steps, one or four of them, by all that is measured of their light. */
export function measureDisplayed(job: Job, reds: v128, greens: v128, blues: v128, pixels: i32): void {
  const p3 = job.p3;
  const table = job.light.table;
  const r = linearFour(table, reds);
  const g = linearFour(table, greens);
  const b = linearFour(table, blues);
  const powers = powerOf(r, g, b);
  countPowers(job.light.counts, powers, pixels);
  noteBrightest(job, powers, reds, greens, blues);
  if (p3.isTested === 0) return;
  const most = f32x4.pmax(f32x4.pmax(r, g), b);
  const lit = isLit(p3, powers);
  const dim = v128.or(
    v128.or(tooDim(r, most, p3.redShare), tooDim(g, most, p3.greenShare)),
    tooDim(b, most, p3.blueShare),
  );
  if (v128.any_true(v128.and(lit, dim))) countOutsideP3(job, pixels, lit, r, g, b);
}

/** The exact test decides. */
function tooDim(channel: v128, most: v128, share: f32): v128 {
  return f32x4.lt(channel, f32x4.mul(f32x4.splat(share), most));
}

/** PQ and HLG: a single pixel, its steps four times each. */
export function judgeOne(job: Job, reds: v128, greens: v128, blues: v128): void {
  if (job.light.kind === 2) noteFour(job, reds, greens, blues);
  if (job.p3.isTested !== 0) judgeFour(job, reds, greens, blues, 1);
}

/** HLG: four pixels of these steps, one of which may be the brightest of the frame. */
function noteFour(job: Job, reds: v128, greens: v128, blues: v128): void {
  const table = job.light.table;
  const powers = powerOf(linearFour(table, reds), linearFour(table, greens), linearFour(table, blues));
  noteBrightest(job, powers, reds, greens, blues);
}

/** Four luma in steps and what chroma adds to the first two of them and to the last two. */
function firstPairs(luma: v128, shares: v128): v128 {
  return i32x4.add(luma, v128.shuffle<i32>(shares, shares, 0, 0, 1, 1));
}

function lastPairs(luma: v128, shares: v128): v128 {
  return i32x4.add(luma, v128.shuffle<i32>(shares, shares, 2, 2, 3, 3));
}

/**
 * Eight pixels of the open row that share their chroma in pairs, by their exact sums: HLG where one may be
 * the brightest of the frame (`isBright`), else where one may lie outside P3.
 */
function measureShared(job: Job, x: i32, isBright: bool): void {
  const frame = job.frame;
  const codes = i16x8.min_u(v128.load(frame.mainRow + ((<usize>x) << 1)), splats.topCodes);
  const cb = chromaAt(frame.cbRow + <usize>x);
  const cr = chromaAt(frame.crRow + <usize>x);
  const red = redOf(cr);
  const green = greenOf(cb, cr);
  const blue = blueOf(cb);
  const left = i32x4.mul(i32x4.extend_low_i16x8_u(codes), splats.codeSteps4);
  const right = i32x4.mul(i32x4.extend_high_i16x8_u(codes), splats.codeSteps4);
  if (isBright) {
    noteFour(job, firstPairs(left, red), firstPairs(left, green), firstPairs(left, blue));
    noteFour(job, lastPairs(right, red), lastPairs(right, green), lastPairs(right, blue));
  } else {
    judgeFour(job, firstPairs(left, red), firstPairs(left, green), firstPairs(left, blue), 4);
    judgeFour(job, lastPairs(right, red), lastPairs(right, green), lastPairs(right, blue), 4);
  }
}

/** Eight pixels of the open row that share their chroma in pairs, of which one may lie outside P3. */
export function judgeShared(job: Job, x: i32): void {
  measureShared(job, x, false);
}

/** The same where one may be the brightest of the frame. */
export function noteShared(job: Job, x: i32): void {
  measureShared(job, x, true);
}

/** PQ: four pixels by light. `codes` are luma or the largest channel's, `bins` what comes on top. */
export function countLight(counts: usize, codes: v128, bins: v128): void {
  const lit = i32x4.add(i32x4.mul(codes, splats.codeBins4), bins);
  const held = i32x4.max_s(i32x4.min_s(lit, splats.lightLasts4), i32x4.splat(0));
  bumpFour(counts, i32x4.shl(held, 2));
}

/** The bin of a pixel with this largest channel, in steps. */
function absoluteBin(light: Light, most: i32): i32 {
  return min(max((most - light.from) >> PQ_BIN_BITS, 0), light.lastBin);
}

function largestOf(pixel: v128): i32 {
  return max(max(redOfPixel(pixel), greenOfPixel(pixel)), blueOfPixel(pixel));
}

/** Pixels of a row by PQ light, one by one; their steps lie in scratch memory. */
export function absoluteSpan(job: Job, y: i32, from: i32, to: i32): void {
  const light = job.light;
  const counts = job.light.counts;
  const isShort = job.shortMatrix.isUsed !== 0;
  const testsP3 = job.p3.isTested !== 0;
  const channel = channelBytes(job.picture);
  const reds = job.scratch.padded;
  const greens = reds + channel;
  const blues = greens + channel;
  for (let x = from; x < to; x++) {
    const at = (<usize>x) << 2;
    const most = isShort
      ? largestOf(loadShort(job, y, x)) << SHORT_BITS
      : max(max(load<i32>(reds + at), load<i32>(greens + at)), load<i32>(blues + at));
    bump(counts, absoluteBin(light, most));
    if (!testsP3) continue;
    const red = v128.load32_splat(reds + at);
    judgeOne(job, red, v128.load32_splat(greens + at), v128.load32_splat(blues + at));
  }
}
