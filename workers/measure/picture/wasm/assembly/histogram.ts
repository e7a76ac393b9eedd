/** Adds one to a 32-bit counter. */
export function bump(counts: usize, bin: i32): void {
  const at = counts + ((<usize>bin) << 2);
  store<u32>(at, load<u32>(at) + 1);
}

/**
 * Eight bins of 16 bits. Neighbours go to two tables in turn: in smooth pictures they fall into the same bin, and
 * an addition would wait for the one before to reach memory.
 */
export function bumpEight(counts: usize, twin: usize, bins: v128): void {
  bump(counts, i16x8.extract_lane_u(bins, 0));
  bump(twin, i16x8.extract_lane_u(bins, 1));
  bump(counts, i16x8.extract_lane_u(bins, 2));
  bump(twin, i16x8.extract_lane_u(bins, 3));
  bump(counts, i16x8.extract_lane_u(bins, 4));
  bump(twin, i16x8.extract_lane_u(bins, 5));
  bump(counts, i16x8.extract_lane_u(bins, 6));
  bump(twin, i16x8.extract_lane_u(bins, 7));
}

/** Adds the twin to its table and empties it. `bins` is a multiple of 4. */
export function joinTwin(counts: usize, twin: usize, bins: i32): void {
  const end = counts + ((<usize>bins) << 2);
  while (counts < end) {
    v128.store(counts, i32x4.add(v128.load(counts), v128.load(twin)));
    v128.store(twin, i32x4.splat(0));
    counts += 16;
    twin += 16;
  }
}
