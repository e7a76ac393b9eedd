import { Job, Picture } from '../records';
import { blueOfPixel, greenOfPixel, loadPixel, openRow, redOfPixel } from './pixels';
import { channelBytes, fillSteps } from './steps';

// The filter of R 103 in steps, exact but for what its units cut off.

/** Taps reach this far to each side. */
export const REACH: i32 = 3;
/**
 * Values are filtered in units of 64 steps: the sums of all 64 taps' shares then fit 32 bits, and meet the
 * limits undivided.
 */
const UNIT_BITS: i32 = 6;

/** Rows that are kept filtered: all that a row and its neighbours need. */
export function rowSlots(picture: Picture): i32 {
  return picture.interlaced ? 5 : 3;
}

/** A filtered channel of a row: red, green and blue follow one another in a slot. */
function filteredChannel(job: Job, y: i32, channel: i32): usize {
  const slot = y % rowSlots(job.picture);
  return job.scratch.filtered + <usize>(slot * 3 + channel) * channelBytes(job.picture);
}

/** No row is filtered yet. */
export function openExactFilter(job: Job): void {
  const numbers = job.scratch.filteredNumbers;
  for (let slot = 0; slot < rowSlots(job.picture); slot++) store<i32>(numbers + ((<usize>slot) << 2), -1);
}

/** Pixels of row `y` outside between `from` and `to`; `up` and `down` are its neighbours. */
export function countRowExactly(job: Job, up: i32, y: i32, down: i32, from: i32, to: i32): i32 {
  filterRow(job, up);
  filterRow(job, y);
  filterRow(job, down);
  return judge(job, up, y, down, from, to);
}

/** Filters a row across, over the frame's span, unless that is done already. */
function filterRow(job: Job, y: i32): void {
  const slot = job.scratch.filteredNumbers + ((<usize>(y % rowSlots(job.picture))) << 2);
  if (load<i32>(slot) === y) return;
  openRow(job, y);
  fillUnits(job, y);
  for (let channel = 0; channel < 3; channel++) {
    across(job, paddedChannel(job, channel), filteredChannel(job, y, channel));
  }
  store<i32>(slot, y);
}

function paddedChannel(job: Job, channel: i32): usize {
  return job.scratch.padded + <usize>channel * channelBytes(job.picture);
}

/** Units of a row at the places the taps of the span reach, the outermost pixels going on past the edges. */
function fillUnits(job: Job, y: i32): void {
  const width = job.picture.width;
  const from = max(job.frame.spanFrom - REACH, 0);
  const to = min(job.frame.spanTo + REACH, width);
  const first = (<usize>REACH) << 2;
  fillSteps(job, y, from, to, UNIT_BITS, paddedChannel(job, 0) + first);
  for (let channel = 0; channel < 3; channel++) {
    const into = paddedChannel(job, channel);
    const left = load<i32>(into + first);
    const right = load<i32>(into + first + ((<usize>(width - 1)) << 2));
    for (let i = 0; i < REACH; i++) {
      if (from === 0) store<i32>(into + ((<usize>i) << 2), left);
      if (to === width) store<i32>(into + first + ((<usize>(width + i)) << 2), right);
    }
  }
}

/** 1-2-3-4-3-2-1, four pixels at a time; writes up to three past the span. */
function across(job: Job, from: usize, into: usize): void {
  const end = job.frame.spanTo;
  for (let x = job.frame.spanFrom; x < end; x += 4) {
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
function judge(job: Job, up: i32, here: i32, down: i32, from: i32, to: i32): i32 {
  const high = i32x4.splat(job.limits.filteredHigh);
  const low = i32x4.splat(job.limits.filteredLow);
  const red0 = filteredChannel(job, up, 0);
  const red1 = filteredChannel(job, here, 0);
  const red2 = filteredChannel(job, down, 0);
  const channel = channelBytes(job.picture);
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

/** The filter for a single pixel. */
export function isOutside(job: Job, up: i32, here: i32, down: i32, x: i32): bool {
  const middle = taps(job, here, x);
  const sum = i32x4.add(i32x4.add(taps(job, up, x), taps(job, down, x)), i32x4.add(middle, middle));
  const most = max(max(redOfPixel(sum), greenOfPixel(sum)), blueOfPixel(sum));
  const least = min(min(redOfPixel(sum), greenOfPixel(sum)), blueOfPixel(sum));
  return most > job.limits.filteredHigh || least < job.limits.filteredLow;
}

/** A row through the taps across, at one pixel: R', G', B' in units. */
function taps(job: Job, y: i32, x: i32): v128 {
  const last = job.picture.width - 1;
  let sum = i32x4.splat(0);
  for (let i = -REACH; i <= REACH; i++) {
    const units = i32x4.shr_s(loadPixel(job, y, min(max(x + i, 0), last)), UNIT_BITS);
    sum = i32x4.add(sum, i32x4.mul(units, i32x4.splat(REACH + 1 - abs(i))));
  }
  return sum;
}
