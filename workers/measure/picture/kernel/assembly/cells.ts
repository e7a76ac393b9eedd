import { CellSum } from '../records';

/** Adds the sums of neighbouring samples to running sums, one of 32 bits for each two. */
export function addPairs(running: usize, x: i32, eight: v128): void {
  const at = running + ((<usize>x) << 1);
  v128.store(at, i32x4.add(v128.load(at), i32x4.extadd_pairwise_i16x8_u(eight)));
}

/** The same for a single sample. */
export function addOne(running: usize, x: i32, value: i32): void {
  const at = running + ((<usize>(x >> 1)) << 2);
  store<u32>(at, load<u32>(at) + value);
}

/**
 * Ends a row of cells: its running sums go to the cells from number `first` on, and start again from nothing.
 */
export function closeCells(sum: CellSum, first: i32, samples: i32, perCell: i32): void {
  const pairs = (samples + 1) >> 1;
  const pairsPerCell = perCell >> 1;
  let at = sum.running;
  let to = sum.cells + ((<usize>first) << 2);
  for (let pair = 0; pair < pairs; ) {
    const end = min(pair + pairsPerCell, pairs);
    let sum: u32 = 0;
    for (; pair < end; pair++) {
      sum += load<u32>(at);
      store<u32>(at, 0);
      at += 4;
    }
    store<u32>(to, sum);
    to += 4;
  }
}
