/** Adds one to a 32-bit counter. */
export function bump(counts: usize, bin: i32): void {
  const at = counts + ((<usize>bin) << 2);
  store<u32>(at, load<u32>(at) + 1);
}

/** Adds one to four counters, given by their offsets in bytes. */
export function bumpFour(counts: usize, offsets: v128): void {
  bumpAt(counts + <usize>i32x4.extract_lane(offsets, 0));
  bumpAt(counts + <usize>i32x4.extract_lane(offsets, 1));
  bumpAt(counts + <usize>i32x4.extract_lane(offsets, 2));
  bumpAt(counts + <usize>i32x4.extract_lane(offsets, 3));
}

function bumpAt(at: usize): void {
  store<u32>(at, load<u32>(at) + 1);
}

/**
 * Neighbours mostly differ by little: two of them are counted at once, by the first one's bin and the difference. A table of pairs has a
 * row for each difference from -16 to 15, `stride` bytes long.
 */
export const WINDOW: i32 = 32;
export const LOWEST: i32 = -16;

/** Ends a table of pairs: each count goes to both bins, and the table is empty again. `bins` is a multiple of 4. */
export function splitPairs(pairs: usize, stride: i32, bins: i32, counts: usize): void {
  const bytes = (<usize>bins) << 2;
  for (let row = 0; row < WINDOW; row++) {
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
