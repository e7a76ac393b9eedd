import { blue, green, loadPixel, openRow, red } from './pixels';
import { ROW_ROOM } from './sizes';
import * as s from './state';
import { fillSteps } from './steps';

// The filter of R 103 in steps, exact but for what its units cut off.

/** Taps reach this far to each side. */
export const REACH: i32 = 3;
/** Values are filtered in units of 64 steps: the sums of all 64 taps' shares then fit 32 bits, and meet the limits undivided. */
const UNIT_BITS: i32 = 6;

/** Pixels the frame's marks reach to. */
export let spanFrom: i32 = 0;
export let spanTo: i32 = 0;

/** Bytes of one channel of a filtered row. */
function stride(): usize {
  return (<usize>(s.width + ROW_ROOM)) << 2;
}

/** Rows that are kept filtered: all that a row and its neighbours need. */
export function rowSlots(): i32 {
  return s.interlaced ? 5 : 3;
}

/** A filtered channel of a row: red, green and blue follow one another in a slot. */
function filteredChannel(y: i32, channel: i32): usize {
  return s.filteredRows + <usize>((y % rowSlots()) * 3 + channel) * stride();
}

/** Readies the filter for a frame whose marks reach from pixel `from` to `to`. */
export function openExactFilter(from: i32, to: i32): void {
  spanFrom = from;
  spanTo = to;
  for (let slot = 0; slot < rowSlots(); slot++) store<i32>(s.filteredRowNumbers + ((<usize>slot) << 2), -1);
}

/** Pixels of the row outside between `from` and `to`. */
export function countRowExactly(up: i32, y: i32, down: i32, from: i32, to: i32): i32 {
  filterRow(up);
  filterRow(y);
  filterRow(down);
  return judge(up, y, down, from, to);
}

/** Filters a row across, over the frame's span, unless that is done already. */
function filterRow(y: i32): void {
  const slot = s.filteredRowNumbers + ((<usize>(y % rowSlots())) << 2);
  if (load<i32>(slot) === y) return;
  openRow(y);
  fillUnits(y);
  for (let channel = 0; channel < 3; channel++) across(paddedChannel(channel), filteredChannel(y, channel));
  store<i32>(slot, y);
}

function paddedChannel(channel: i32): usize {
  return s.paddedRows + <usize>channel * stride();
}

/** Units of a row at the places the taps of the span reach, the outermost pixels going on past the edges. */
function fillUnits(y: i32): void {
  const from = max(spanFrom - REACH, 0);
  const to = min(spanTo + REACH, s.width);
  const first = (<usize>REACH) << 2;
  fillSteps(
    y,
    from,
    to,
    UNIT_BITS,
    paddedChannel(0) + first,
    paddedChannel(1) + first,
    paddedChannel(2) + first,
  );
  for (let channel = 0; channel < 3; channel++) {
    const into = paddedChannel(channel);
    const left = load<i32>(into + first);
    const right = load<i32>(into + first + ((<usize>(s.width - 1)) << 2));
    for (let i = 0; i < REACH; i++) {
      if (from === 0) store<i32>(into + ((<usize>i) << 2), left);
      if (to === s.width) store<i32>(into + first + ((<usize>(s.width + i)) << 2), right);
    }
  }
}

/** 1-2-3-4-3-2-1, four pixels at a time; writes up to three past the span. */
function across(from: usize, into: usize): void {
  for (let x = spanFrom; x < spanTo; x += 4) {
    const at = from + ((<usize>x) << 2);
    const ends = i32x4.add(v128.load(at), v128.load(at, 24));
    const outer = i32x4.add(v128.load(at, 4), v128.load(at, 20));
    const inner = i32x4.add(v128.load(at, 8), v128.load(at, 16));
    const middle = v128.load(at, 12);
    const twice = i32x4.shl(i32x4.add(outer, inner), 1);
    const sum = i32x4.add(i32x4.add(ends, twice), i32x4.add(inner, i32x4.shl(middle, 2)));
    v128.store(into + ((<usize>x) << 2), sum);
  }
}

function tall(up: usize, here: usize, down: usize, x: i32): v128 {
  const at = (<usize>x) << 2;
  return i32x4.add(i32x4.add(v128.load(up + at), v128.load(down + at)), i32x4.shl(v128.load(here + at), 1));
}

/** 1-2-1 down, then the limits. */
function judge(up: i32, here: i32, down: i32, from: i32, to: i32): i32 {
  const high = i32x4.splat(s.filteredHigh);
  const low = i32x4.splat(s.filteredLow);
  const red0 = filteredChannel(up, 0);
  const red1 = filteredChannel(here, 0);
  const red2 = filteredChannel(down, 0);
  const channel = stride();
  let outside = 0;
  for (let x = from; x < to; x += 4) {
    const r = tall(red0, red1, red2, x);
    const g = tall(red0 + channel, red1 + channel, red2 + channel, x);
    const b = tall(red0 + 2 * channel, red1 + 2 * channel, red2 + 2 * channel, x);
    const most = i32x4.max_s(i32x4.max_s(r, g), b);
    const least = i32x4.min_s(i32x4.min_s(r, g), b);
    let found = i32x4.bitmask(v128.or(i32x4.gt_s(most, high), i32x4.lt_s(least, low)));
    if (to - x < 4) found &= (1 << (to - x)) - 1;
    outside += popcnt(found);
  }
  return outside;
}

let sumRed: i32 = 0;
let sumGreen: i32 = 0;
let sumBlue: i32 = 0;

/** The filter for a single pixel. */
export function isOutside(up: i32, here: i32, down: i32, x: i32): bool {
  sumRed = 0;
  sumGreen = 0;
  sumBlue = 0;
  addTaps(up, x, 1);
  addTaps(here, x, 2);
  addTaps(down, x, 1);
  const most = max(max(sumRed, sumGreen), sumBlue);
  const least = min(min(sumRed, sumGreen), sumBlue);
  return most > s.filteredHigh || least < s.filteredLow;
}

function addTaps(y: i32, x: i32, weight: i32): void {
  for (let i = -REACH; i <= REACH; i++) {
    loadPixel(y, min(max(x + i, 0), s.width - 1));
    const share = (REACH + 1 - abs(i)) * weight;
    sumRed += (red >> UNIT_BITS) * share;
    sumGreen += (green >> UNIT_BITS) * share;
    sumBlue += (blue >> UNIT_BITS) * share;
  }
}
