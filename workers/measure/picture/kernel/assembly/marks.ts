import { Scratch } from '../records';

// Pixels of each row that hold all that lies outside the tolerance of R 103 before the filter: from the first
// mark to the last.

export function clearMarks(scratch: Scratch, y: i32): void {
  store<i32>(scratch.firstMarked + ((<usize>y) << 2), -1);
  store<i32>(scratch.lastMarked + ((<usize>y) << 2), -1);
}

/** Marks from `first` to `last`, pixels right of those that are marked; none where `first` is -1. */
export function addMarks(scratch: Scratch, y: i32, first: i32, last: i32): void {
  if (first < 0) return;
  if (firstMark(scratch, y) < 0) store<i32>(scratch.firstMarked + ((<usize>y) << 2), first);
  store<i32>(scratch.lastMarked + ((<usize>y) << 2), last);
}

/** -1 for none. */
export function firstMark(scratch: Scratch, y: i32): i32 {
  return load<i32>(scratch.firstMarked + ((<usize>y) << 2));
}

export function lastMark(scratch: Scratch, y: i32): i32 {
  return load<i32>(scratch.lastMarked + ((<usize>y) << 2));
}
