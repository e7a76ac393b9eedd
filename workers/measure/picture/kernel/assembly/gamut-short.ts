import { SHORT_BITS } from '../../plan/step-bits';
import { Job, Picture } from '../records';
import { SHORT_ROW_ROOM } from '../sizes';
import { countRowExactly, isOutside, REACH, rowSlots } from './gamut-exact';
import { openRow } from './pixels';
import { shortChroma, shortGreenShare, shortShare } from './shared-rows';
import { splats } from './splats';

// The filter of R 103 in short steps, eight pixels at a time: weighted means made of means of two, each of
// which rounds up by half a short step at most. Mean by mean that is 1.5 across and 2.25 in all, and the
// short sums themselves are off by 0.75 either way. Pixels whose value is further from the limits are settled
// here, the others go through the exact filter, which cuts off less than a 64th of a short step.

const TOO_HIGH: i32 = 3;
const TOO_LOW: i32 = 1;
/** Short sums go from -2^14 to 2^15, and means are taken of unsigned numbers. */
const BIAS: i32 = 1 << 14;
/** Samples before a row, and as many after: the reach of the taps, and what vectors read and write beyond. */
const MARGIN: i32 = SHORT_ROW_ROOM / 2;

/** Bytes of one channel of a row. */
function stride(picture: Picture): usize {
  return (<usize>(picture.width + SHORT_ROW_ROOM)) << 1;
}

function paddedChannel(job: Job, channel: i32): usize {
  return job.scratch.shortPadded + <usize>channel * stride(job.picture) + ((<usize>MARGIN) << 1);
}

function filteredChannel(job: Job, y: i32, channel: i32): usize {
  const place = <usize>((y % rowSlots(job.picture)) * 3 + channel);
  return job.scratch.shortFiltered + place * stride(job.picture) + ((<usize>MARGIN) << 1);
}

/** No row is filtered yet. */
export function openShortFilter(job: Job): void {
  const numbers = job.scratch.shortFilteredNumbers;
  for (let slot = 0; slot < rowSlots(job.picture); slot++) store<i32>(numbers + ((<usize>slot) << 2), -1);
}

/** Pixels of row `y` outside between `from` and `to`; `up` and `down` are its neighbours. */
export function countRowShortly(job: Job, up: i32, y: i32, down: i32, from: i32, to: i32): i32 {
  filterRow(job, up);
  filterRow(job, y);
  filterRow(job, down);
  const outside = judge(job, up, y, down, from, to);
  const unsure = job.frame.unsure;
  if (unsure === 0) return outside;
  // Some hundreds of instructions for each: when there are many, the whole row at once is cheaper.
  if (unsure * 20 > to - from) return countRowExactly(job, up, y, down, from, to);
  return outside + countUnsure(job, up, y, down);
}

function countUnsure(job: Job, up: i32, here: i32, down: i32): i32 {
  const pixels = job.scratch.unsure;
  let outside = 0;
  for (let i = 0; i < job.frame.unsure; i++) {
    if (isOutside(job, up, here, down, load<i32>(pixels + ((<usize>i) << 2)))) outside++;
  }
  return outside;
}

function filterRow(job: Job, y: i32): void {
  const slot = job.scratch.shortFilteredNumbers + ((<usize>(y % rowSlots(job.picture))) << 2);
  if (load<i32>(slot) === y) return;
  openRow(job, y);
  fillSums(job);
  for (let channel = 0; channel < 3; channel++) {
    across(job, paddedChannel(job, channel), filteredChannel(job, y, channel));
  }
  store<i32>(slot, y);
}

/** Sixteen pixels of a channel, from their luma and the shares of eight samples of chroma. */
function storeSums(into: usize, left: v128, right: v128, shares: v128): void {
  v128.store(into, i16x8.add(left, v128.shuffle<i16>(shares, shares, 0, 0, 1, 1, 2, 2, 3, 3)));
  v128.store(into, i16x8.add(right, v128.shuffle<i16>(shares, shares, 4, 4, 5, 5, 6, 6, 7, 7)), 16);
}

/**
 * Biased short sums of the open row where the taps of the span reach, the outermost pixels going on past the
 * edges.
 */
function fillSums(job: Job): void {
  const frame = job.frame;
  const width = job.picture.width;
  const mainRow = frame.mainRow;
  const cbRow = frame.cbRow;
  const crRow = frame.crRow;
  const bias = i16x8.splat(<i16>BIAS);
  const from = max(frame.spanFrom - REACH, 0) & ~1;
  const to = min(frame.spanTo + REACH, width);
  const reds = paddedChannel(job, 0);
  const greens = paddedChannel(job, 1);
  const blues = paddedChannel(job, 2);
  for (let x = from; x < to; x += 16) {
    const at = (<usize>x) << 1;
    const cb = shortChroma(cbRow + <usize>x);
    const cr = shortChroma(crRow + <usize>x);
    const left = i16x8.add(shortLuma(mainRow + at), bias);
    const right = i16x8.add(shortLuma(mainRow + at + 16), bias);
    storeSums(reds + at, left, right, shortShare(cr, splats.crToReds));
    storeSums(greens + at, left, right, shortGreenShare(cb, cr));
    storeSums(blues + at, left, right, shortShare(cb, splats.cbToBlues));
  }
  for (let channel = 0; channel < 3; channel++) {
    const into = paddedChannel(job, channel);
    if (from === 0) goOn(into - ((<usize>REACH) << 1), load<u16>(into));
    const end = into + ((<usize>width) << 1);
    if (to === width) goOn(end, load<u16>(end - 2));
  }
}

/** Eight codes of luma in short steps. */
function shortLuma(codes: usize): v128 {
  return i16x8.mul(i16x8.min_u(v128.load(codes), splats.topCodes), splats.codeShorts);
}

function goOn(at: usize, value: u16): void {
  for (let i = 0; i < REACH; i++) store<u16>(at + ((<usize>i) << 1), value);
}

/** 1-2-3-4-3-2-1, eight pixels at a time; writes up to seven past the span. */
function across(job: Job, from: usize, into: usize): void {
  const end = job.frame.spanTo;
  for (let x = job.frame.spanFrom; x < end; x += 8) {
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
function judge(job: Job, up: i32, here: i32, down: i32, from: i32, to: i32): i32 {
  // The filter's limits in short steps, the whole number above the upper and below the lower one.
  const above = (job.limits.filteredHigh + (1 << SHORT_BITS) - 1) >> SHORT_BITS;
  const below = job.limits.filteredLow >> SHORT_BITS;
  const bias = i16x8.splat(<i16>BIAS);
  const surelyHigh = i16x8.splat(<i16>(above + TOO_HIGH));
  const maybeHigh = i16x8.splat(<i16>(above - TOO_LOW - 1));
  const surelyLow = i16x8.splat(<i16>(below - TOO_LOW));
  const maybeLow = i16x8.splat(<i16>(below + TOO_HIGH + 2));
  const red0 = filteredChannel(job, up, 0);
  const red1 = filteredChannel(job, here, 0);
  const red2 = filteredChannel(job, down, 0);
  const channel = stride(job.picture);
  job.frame.unsure = 0;
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
    note(job, x, maybe ^ surely);
  }
  return outside;
}

/** Notes pixels that are to go through the exact filter: bits from pixel `x` on. */
function note(job: Job, x: i32, which: i32): void {
  let unsure = job.frame.unsure;
  for (; which !== 0; which &= which - 1) {
    store<i32>(job.scratch.unsure + ((<usize>unsure) << 2), x + ctz(which));
    unsure++;
  }
  job.frame.unsure = unsure;
}
