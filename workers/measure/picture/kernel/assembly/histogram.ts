import { Histogram } from '../records';
import { PAIR_ROWS } from '../sizes';
import { splats } from './splats';

/** Adds one to a 32-bit counter. */
export function bump(counts: usize, bin: i32): void {
  bumpAt(counts + ((<usize>bin) << 2));
}

/** Adds one to four counters, given by their offsets in bytes. */
export function bumpFour(counts: usize, offsets: v128): void {
  bumpAt(counts + <usize>i32x4.extract_lane(offsets, 0));
  bumpAt(counts + <usize>i32x4.extract_lane(offsets, 1));
  bumpAt(counts + <usize>i32x4.extract_lane(offsets, 2));
  bumpAt(counts + <usize>i32x4.extract_lane(offsets, 3));
}

/**
 * Adds one to eight counters, given by their bins of 16 bits. Four leave the vector at once: that takes fewer
 * instructions than one by one.
 */
export function bumpEight(counts: usize, bins: v128): void {
  bumpShorts(counts, i64x2.extract_lane(bins, 0));
  bumpShorts(counts, i64x2.extract_lane(bins, 1));
}

function bumpShorts(counts: usize, four: i64): void {
  const low = <u32>four;
  const high = <u32>(four >>> 32);
  bumpAt(counts + ((<usize>(low & 0xffff)) << 2));
  bumpAt(counts + ((<usize>(low >>> 16)) << 2));
  bumpAt(counts + ((<usize>(high & 0xffff)) << 2));
  bumpAt(counts + ((<usize>(high >>> 16)) << 2));
}

function bumpAt(at: usize): void {
  store<u32>(at, load<u32>(at) + 1);
}

/**
 * Neighbours mostly differ by little: two of them are counted at once, by the first one's bin and the
 * difference. A table of pairs has a row for each difference from -16 to 15, `stride` bytes long.
 */
const LOWEST: i32 = -16;

/**
 * Counts eight pairs of codes of one plane, as pairs where there is a table of them and all lie close enough.
 */
export function countEightPairs(counts: usize, pairs: usize, even: v128, odd: v128): void {
  if (pairs !== 0) {
    const step = i16x8.sub(i16x8.sub(odd, even), i16x8.splat(<i16>LOWEST));
    if (!v128.any_true(v128.and(step, i16x8.splat(<i16>-PAIR_ROWS)))) {
      // A table of pairs of up to 10 bits has less than 2^16 counters.
      bumpEight(pairs, i16x8.add(i16x8.mul(step, splats.pairStrides), even));
      return;
    }
  }
  bumpEight(counts, even);
  bumpEight(counts, odd);
}

/** Counts sixteen codes of a plane that follow one another. */
export function countSixteen(counts: usize, pairs: usize, left: v128, right: v128): void {
  const low16 = i32x4.splat(0xffff);
  const even = i16x8.narrow_i32x4_u(v128.and(left, low16), v128.and(right, low16));
  const odd = i16x8.narrow_i32x4_u(i32x4.shr_u(left, 16), i32x4.shr_u(right, 16));
  countEightPairs(counts, pairs, even, odd);
}

/**
 * Ends a table of pairs: each count goes to both bins, and the table is empty again. Rows are `stride` bytes,
 * of which `bins`, a multiple of 4, are counters.
 */
export function splitPairs(histogram: Histogram, stride: i32, bins: i32): void {
  const pairs = histogram.pairs;
  const counts = histogram.counts;
  if (pairs === 0) return;
  const bytes = (<usize>bins) << 2;
  for (let row = 0; row < PAIR_ROWS; row++) {
    const from = pairs + <usize>(row * stride);
    const second = counts + ((row + LOWEST) << 2);
    for (let at: usize = 0; at < bytes; at += 16) {
      const pair = v128.load(from + at);
      if (!v128.any_true(pair)) continue;
      v128.store(from + at, i32x4.splat(0));
      v128.store(counts + at, i32x4.add(v128.load(counts + at), pair));
      v128.store(second + at, i32x4.add(v128.load(second + at), pair));
    }
  }
}
