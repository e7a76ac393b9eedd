import { countRowExactly, isOutside, REACH, rowSlots, spanFrom, spanTo } from './gamut-exact';
import { cbRow, crRow, mainRow, openRow } from './pixels';
import { shortChroma, shortGreenShare, shortShare } from './shared-rows';
import { SHORT_BITS } from './shifts';
import { SHORT_ROW_ROOM } from './sizes';
import { cbToBlues, codeShorts, crToReds, topCodes } from './splats';
import * as s from './state';

// The filter of R 103 in short steps, eight pixels at a time: weighted means made of means of two, each of which rounds up by half a short
// step at most. Mean by mean that is 1.5 across and 2.25 in all, and the short sums themselves are off by 0.75 either way. Pixels whose value
// is further from the limits are settled here, the others go through the exact filter, which cuts off less than a 64th of a short step.

const TOO_HIGH: i32 = 3;
const TOO_LOW: i32 = 1;
/** Short sums go from -2^14 to 2^15, and means are taken of unsigned numbers. */
const BIAS: i32 = 1 << 14;
/** Samples before a row, and as many after: the reach of the taps, and what vectors read and write beyond. */
const MARGIN: i32 = SHORT_ROW_ROOM / 2;

/** Bytes of one channel of a row. */
function stride(): usize {
  return (<usize>(s.width + SHORT_ROW_ROOM)) << 1;
}

function paddedChannel(channel: i32): usize {
  return s.shortPadded + <usize>channel * stride() + ((<usize>MARGIN) << 1);
}

function filteredChannel(y: i32, channel: i32): usize {
  return s.shortFiltered + <usize>((y % rowSlots()) * 3 + channel) * stride() + ((<usize>MARGIN) << 1);
}

export function openShortFilter(): void {
  for (let slot = 0; slot < rowSlots(); slot++) {
    store<i32>(s.shortFilteredNumbers + ((<usize>slot) << 2), -1);
  }
}

/** Pixels of the row that are too close to a limit to be settled here. */
let unsure: i32 = 0;

/** Pixels of the row outside between `from` and `to`. */
export function countRowShortly(up: i32, y: i32, down: i32, from: i32, to: i32): i32 {
  filterRow(up);
  filterRow(y);
  filterRow(down);
  const outside = judge(up, y, down, from, to);
  if (unsure === 0) return outside;
  // Some hundreds of instructions for each: when there are many, the whole row at once is cheaper.
  if (unsure * 20 > to - from) return countRowExactly(up, y, down, from, to);
  return outside + countUnsure(up, y, down);
}

function countUnsure(up: i32, here: i32, down: i32): i32 {
  let outside = 0;
  for (let i = 0; i < unsure; i++) {
    if (isOutside(up, here, down, load<i32>(s.unsurePixels + ((<usize>i) << 2)))) outside++;
  }
  return outside;
}

function filterRow(y: i32): void {
  const slot = s.shortFilteredNumbers + ((<usize>(y % rowSlots())) << 2);
  if (load<i32>(slot) === y) return;
  openRow(y);
  fillSums();
  for (let channel = 0; channel < 3; channel++) across(paddedChannel(channel), filteredChannel(y, channel));
  store<i32>(slot, y);
}

/** Sixteen pixels of a channel, from their luma and the shares of eight samples of chroma. */
function storeSums(into: usize, left: v128, right: v128, shares: v128): void {
  v128.store(into, i16x8.add(left, v128.shuffle<i16>(shares, shares, 0, 0, 1, 1, 2, 2, 3, 3)));
  v128.store(into, i16x8.add(right, v128.shuffle<i16>(shares, shares, 4, 4, 5, 5, 6, 6, 7, 7)), 16);
}

/** Biased short sums of the open row where the taps of the span reach, the outermost pixels going on past the edges. */
function fillSums(): void {
  const bias = i16x8.splat(<i16>BIAS);
  const from = max(spanFrom - REACH, 0) & ~1;
  const to = min(spanTo + REACH, s.width);
  const reds = paddedChannel(0);
  const greens = paddedChannel(1);
  const blues = paddedChannel(2);
  for (let x = from; x < to; x += 16) {
    const at = (<usize>x) << 1;
    const cb = shortChroma(cbRow + <usize>x);
    const cr = shortChroma(crRow + <usize>x);
    const left = i16x8.add(i16x8.mul(i16x8.min_u(v128.load(mainRow + at), topCodes), codeShorts), bias);
    const right = i16x8.add(i16x8.mul(i16x8.min_u(v128.load(mainRow + at, 16), topCodes), codeShorts), bias);
    storeSums(reds + at, left, right, shortShare(cr, crToReds));
    const green = shortGreenShare(cb, cr);
    storeSums(greens + at, left, right, green);
    storeSums(blues + at, left, right, shortShare(cb, cbToBlues));
  }
  for (let channel = 0; channel < 3; channel++) {
    const into = paddedChannel(channel);
    if (from === 0) goOn(into - ((<usize>REACH) << 1), load<u16>(into));
    const end = into + ((<usize>s.width) << 1);
    if (to === s.width) goOn(end, load<u16>(end - 2));
  }
}

function goOn(at: usize, value: u16): void {
  for (let i = 0; i < REACH; i++) store<u16>(at + ((<usize>i) << 1), value);
}

/** 1-2-3-4-3-2-1, eight pixels at a time; writes up to seven past the span. */
function across(from: usize, into: usize): void {
  for (let x = spanFrom; x < spanTo; x += 8) {
    const at = from + ((<usize>(x - REACH)) << 1);
    const ends = i16x8.avgr_u(v128.load(at), v128.load(at, 12));
    const outer = i16x8.avgr_u(v128.load(at, 2), v128.load(at, 10));
    const inner = i16x8.avgr_u(v128.load(at, 4), v128.load(at, 8));
    const wide = i16x8.avgr_u(i16x8.avgr_u(ends, inner), outer);
    const mean = i16x8.avgr_u(wide, i16x8.avgr_u(inner, v128.load(at, 6)));
    v128.store(into + ((<usize>x) << 1), mean);
  }
}

function tall(up: usize, here: usize, down: usize, at: usize): v128 {
  return i16x8.avgr_u(i16x8.avgr_u(v128.load(up + at), v128.load(down + at)), v128.load(here + at));
}

/** 1-2-1 down, then the limits: pixels that are surely outside; the unsure ones are noted. */
function judge(up: i32, here: i32, down: i32, from: i32, to: i32): i32 {
  // The filter's limits in short steps, the whole number above the upper and below the lower one.
  const above = (s.filteredHigh + (1 << SHORT_BITS) - 1) >> SHORT_BITS;
  const below = s.filteredLow >> SHORT_BITS;
  const bias = i16x8.splat(<i16>BIAS);
  const surelyHigh = i16x8.splat(<i16>(above + TOO_HIGH));
  const maybeHigh = i16x8.splat(<i16>(above - TOO_LOW - 1));
  const surelyLow = i16x8.splat(<i16>(below - TOO_LOW));
  const maybeLow = i16x8.splat(<i16>(below + TOO_HIGH + 2));
  const red0 = filteredChannel(up, 0);
  const red1 = filteredChannel(here, 0);
  const red2 = filteredChannel(down, 0);
  const channel = stride();
  unsure = 0;
  let outside = 0;
  for (let x = from; x < to; x += 8) {
    const at = (<usize>x) << 1;
    const r = tall(red0, red1, red2, at);
    const g = tall(red0 + channel, red1 + channel, red2 + channel, at);
    const b = tall(red0 + 2 * channel, red1 + 2 * channel, red2 + 2 * channel, at);
    const most = i16x8.sub(i16x8.max_u(i16x8.max_u(r, g), b), bias);
    const least = i16x8.sub(i16x8.min_u(i16x8.min_u(r, g), b), bias);
    let maybe = i16x8.bitmask(v128.or(i16x8.gt_s(most, maybeHigh), i16x8.lt_s(least, maybeLow)));
    if (maybe === 0) continue;
    let surely = i16x8.bitmask(v128.or(i16x8.gt_s(most, surelyHigh), i16x8.lt_s(least, surelyLow)));
    if (to - x < 8) {
      maybe &= (1 << (to - x)) - 1;
      surely &= (1 << (to - x)) - 1;
    }
    outside += popcnt(surely);
    note(x, maybe ^ surely);
  }
  return outside;
}

function note(x: i32, which: i32): void {
  for (; which !== 0; which &= which - 1) {
    store<i32>(s.unsurePixels + ((<usize>unsure) << 2), x + ctz(which));
    unsure++;
  }
}
