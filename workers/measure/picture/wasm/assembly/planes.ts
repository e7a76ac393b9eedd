import { addOne, addPairs, closeCells } from './cells';
import { bump, countSixteen } from './histogram';
import * as s from './state';

/** Bytes to 16-bit codes. Reads and writes in sixteens, past the end of the plane. */
export function widen(from: usize, to: usize, samples: i32): void {
  for (let i = 0; i < samples; i += 16) {
    const bytes = v128.load(from + <usize>i);
    const at = to + ((<usize>i) << 1);
    v128.store(at, i16x8.extend_low_i8x16_u(bytes));
    v128.store(at + 16, i16x8.extend_high_i8x16_u(bytes));
  }
}

/**
 * Counts a plane of chroma by code and sums its cells; with `counts` 0 only the cells, for B' and R', which are counted as colours.
 * `perCellX` and `perCellY` samples make a cell.
 */
export function measurePlane(
  plane: usize,
  columns: i32,
  rows: i32,
  counts: usize,
  pairs: usize,
  sums: usize,
  perCellX: i32,
  perCellY: i32,
): void {
  const top = i16x8.splat(<i16>s.topCode);
  const whole = columns & ~15;
  let row = plane;
  for (let y = 0; y < rows; y++) {
    for (let x = 0; x < whole; x += 16) {
      const at = row + ((<usize>x) << 1);
      const left = i16x8.min_u(v128.load(at), top);
      const right = i16x8.min_u(v128.load(at, 16), top);
      if (counts !== 0) countSixteen(counts, pairs, left, right);
      addPairs(s.runningSums, x, left);
      addPairs(s.runningSums, x + 8, right);
    }
    for (let x = whole; x < columns; x++) {
      const code = min(<i32>load<u16>(row + ((<usize>x) << 1)), s.topCode);
      if (counts !== 0) bump(counts, code);
      addOne(s.runningSums, x, code);
    }
    if ((y + 1) % perCellY === 0 || y + 1 === rows) {
      closeCells(s.runningSums, columns, perCellX, sums, y / perCellY);
    }
    row += (<usize>columns) << 1;
  }
}
