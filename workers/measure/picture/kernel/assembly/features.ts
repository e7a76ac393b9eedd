import { addOne, addPairs, closeCells } from './cells';
import { beforeAt, rowAt } from './pixels';
import * as s from './state';
import { highest, lowest } from './vectors';

/** Largest difference from the frame before. */
export let mostChange: i32 = 0;

export function openFeatures(): void {
  mostChange = 0;
  const columns = s.width;
  memory.fill(s.columnMin, 0xff, (<usize>columns) << 1);
  memory.fill(s.columnMax, 0, (<usize>columns) << 1);
}

function codeAt(row: usize, x: i32): i32 {
  return min(<i32>load<u16>(row + ((<usize>x) << 1)), s.topCode);
}

/** Everything of plane 0 that does not need the colour, for the rows of the open block: extremes, cells, change. */
export function measureFeatures(from: i32, to: i32): void {
  const compared = beforeAt(from) !== 0;
  let y = from;
  // Sums of four codes fit 16 bits up to this depth.
  if (s.topCode < 1 << 14) {
    for (; y + 4 <= to; y += 4) {
      fourExtremes(y);
      if (compared) fourChanges(y);
    }
  }
  for (; y < to; y++) {
    rowExtremes(y, rowAt(y));
    if (compared) rowChange(y, rowAt(y), beforeAt(y));
  }
  for (y = from; y < to; y += 4) columnExtremes(rowAt(y));
  for (y = from + 2; y < from + 4 && y + 2 < s.height; y++) roughness(y, rowAt(y), beforeAt(y));
  const size = s.cellSize;
  if (to % size !== 0 && to !== s.height) return;
  const cells = (to - 1) / size;
  closeCells(s.runningSums, s.width, size, s.cellSums0, cells);
  closeCells(s.runningFrame, s.width, size, s.roughFrame, cells);
  closeCells(s.runningField, s.width, size, s.roughField, cells);
  if (!compared) return;
  closeCells(s.runningEven, s.width, size, s.changeEven, cells);
  closeCells(s.runningOdd, s.width, size, s.changeOdd, cells);
  closeCells(s.runningWeaveEven, s.width, size, s.weaveEven, cells);
  closeCells(s.runningWeaveOdd, s.width, size, s.weaveOdd, cells);
}

/** Four rows at once: one sum of cells for all of them. */
function fourExtremes(y: i32): void {
  const whole = s.width & ~7;
  const line = (<usize>s.width) << 1;
  const top = i16x8.splat(<i16>s.topCode);
  const sums = s.runningSums;
  const rowA = rowAt(y);
  const rowB = rowA + line;
  const rowC = rowB + line;
  const rowD = rowC + line;
  let lowA = i16x8.splat(-1);
  let lowB = lowA;
  let lowC = lowA;
  let lowD = lowA;
  let highA = i16x8.splat(0);
  let highB = highA;
  let highC = highA;
  let highD = highA;
  for (let x = 0; x < whole; x += 8) {
    const at = (<usize>x) << 1;
    const a = i16x8.min_u(v128.load(rowA + at), top);
    const b = i16x8.min_u(v128.load(rowB + at), top);
    const c = i16x8.min_u(v128.load(rowC + at), top);
    const d = i16x8.min_u(v128.load(rowD + at), top);
    lowA = i16x8.min_u(lowA, a);
    lowB = i16x8.min_u(lowB, b);
    lowC = i16x8.min_u(lowC, c);
    lowD = i16x8.min_u(lowD, d);
    highA = i16x8.max_u(highA, a);
    highB = i16x8.max_u(highB, b);
    highC = i16x8.max_u(highC, c);
    highD = i16x8.max_u(highD, d);
    addPairs(sums, x, i16x8.add(i16x8.add(a, b), i16x8.add(c, d)));
  }
  endRow(y, rowA, lowest(lowA), highest(highA));
  endRow(y + 1, rowB, lowest(lowB), highest(highB));
  endRow(y + 2, rowC, lowest(lowC), highest(highC));
  endRow(y + 3, rowD, lowest(lowD), highest(highD));
}

/** The pixels that are left of a row, and its extremes. */
function endRow(y: i32, row: usize, least: i32, most: i32): void {
  for (let x = s.width & ~7; x < s.width; x++) {
    const code = codeAt(row, x);
    least = min(least, code);
    most = max(most, code);
    addOne(s.runningSums, x, code);
  }
  store<u16>(s.rowMin + ((<usize>y) << 1), least);
  store<u16>(s.rowMax + ((<usize>y) << 1), most);
}

function change(now: v128, then: v128): v128 {
  return v128.or(i16x8.sub_sat_u(now, then), i16x8.sub_sat_u(then, now));
}

function fourChanges(y: i32): void {
  const whole = s.width & ~7;
  const line = (<usize>s.width) << 1;
  const top = i16x8.splat(<i16>s.topCode);
  const even = (y & 1) === 0 ? s.runningEven : s.runningOdd;
  const odd = (y & 1) === 0 ? s.runningOdd : s.runningEven;
  const row = rowAt(y);
  const old = beforeAt(y);
  let high = i16x8.splat(0);
  for (let x = 0; x < whole; x += 8) {
    const at = (<usize>x) << 1;
    const now = row + at;
    const then = old + at;
    const a = change(i16x8.min_u(v128.load(now), top), i16x8.min_u(v128.load(then), top));
    const b = change(i16x8.min_u(v128.load(now + line), top), i16x8.min_u(v128.load(then + line), top));
    const c = change(
      i16x8.min_u(v128.load(now + 2 * line), top),
      i16x8.min_u(v128.load(then + 2 * line), top),
    );
    const d = change(
      i16x8.min_u(v128.load(now + 3 * line), top),
      i16x8.min_u(v128.load(then + 3 * line), top),
    );
    high = i16x8.max_u(high, i16x8.max_u(i16x8.max_u(a, b), i16x8.max_u(c, d)));
    addPairs(even, x, i16x8.add(a, c));
    addPairs(odd, x, i16x8.add(b, d));
  }
  mostChange = max(mostChange, highest(high));
  for (let i = 0; i < 4; i++) endChange(y + i, row + <usize>i * line, old + <usize>i * line);
}

function endChange(y: i32, row: usize, before: usize): void {
  const sums = (y & 1) === 0 ? s.runningEven : s.runningOdd;
  for (let x = s.width & ~7; x < s.width; x++) {
    const changed = abs(codeAt(row, x) - codeAt(before, x));
    mostChange = max(mostChange, changed);
    addOne(sums, x, changed);
  }
}

function rowExtremes(y: i32, row: usize): void {
  const whole = s.width & ~7;
  const top = i16x8.splat(<i16>s.topCode);
  const sums = s.runningSums;
  let low = i16x8.splat(-1);
  let high = i16x8.splat(0);
  for (let x = 0; x < whole; x += 8) {
    const codes = i16x8.min_u(v128.load(row + ((<usize>x) << 1)), top);
    low = i16x8.min_u(low, codes);
    high = i16x8.max_u(high, codes);
    addPairs(sums, x, codes);
  }
  endRow(y, row, lowest(low), highest(high));
}

function rowChange(y: i32, row: usize, before: usize): void {
  const whole = s.width & ~7;
  const top = i16x8.splat(<i16>s.topCode);
  const sums = (y & 1) === 0 ? s.runningEven : s.runningOdd;
  let high = i16x8.splat(0);
  for (let x = 0; x < whole; x += 8) {
    const at = (<usize>x) << 1;
    const now = i16x8.min_u(v128.load(row + at), top);
    const then = i16x8.min_u(v128.load(before + at), top);
    const changed = change(now, then);
    high = i16x8.max_u(high, changed);
    addPairs(sums, x, changed);
  }
  mostChange = max(mostChange, highest(high));
  endChange(y, row, before);
}

function columnExtremes(row: usize): void {
  const whole = s.width & ~7;
  const top = i16x8.splat(<i16>s.topCode);
  for (let x = 0; x < whole; x += 8) {
    const at = (<usize>x) << 1;
    const codes = i16x8.min_u(v128.load(row + at), top);
    v128.store(s.columnMin + at, i16x8.min_u(v128.load(s.columnMin + at), codes));
    v128.store(s.columnMax + at, i16x8.max_u(v128.load(s.columnMax + at), codes));
  }
  for (let x = whole; x < s.width; x++) {
    const at = (<usize>x) << 1;
    const code = codeAt(row, x);
    store<u16>(s.columnMin + at, min(<i32>load<u16>(s.columnMin + at), code));
    store<u16>(s.columnMax + at, max(<i32>load<u16>(s.columnMax + at), code));
  }
}

/** |above + below - 2 middle| of eight codes of at most 12 bits. */
function bend(above: v128, below: v128, middle: v128): v128 {
  return i16x8.abs(i16x8.sub(i16x8.add(above, below), i16x8.add(middle, middle)));
}

function roughness(y: i32, row: usize, before: usize): void {
  const line = (<usize>s.width) << 1;
  // Second differences of more than 12 bits do not fit 16: such pictures go pixel by pixel.
  const whole = s.topCode < 4096 ? s.width & ~7 : 0;
  const top = i16x8.splat(<i16>s.topCode);
  const weave = (y & 1) === 0 ? s.runningWeaveEven : s.runningWeaveOdd;
  for (let x = 0; x < whole; x += 8) {
    const at = row + ((<usize>x) << 1);
    const here = i16x8.min_u(v128.load(at), top);
    const above = i16x8.min_u(v128.load(at - line), top);
    const below = i16x8.min_u(v128.load(at + line), top);
    const above2 = i16x8.min_u(v128.load(at - 2 * line), top);
    const below2 = i16x8.min_u(v128.load(at + 2 * line), top);
    addPairs(s.runningFrame, x, bend(above, below, here));
    addPairs(s.runningField, x, bend(above2, below2, here));
    if (before === 0) continue;
    const then = i16x8.min_u(v128.load(before + ((<usize>x) << 1)), top);
    addPairs(weave, x, bend(above, below, then));
  }
  for (let x = whole; x < s.width; x++) {
    const here = 2 * codeAt(row, x);
    const near = codeAt(row - line, x) + codeAt(row + line, x);
    const far = codeAt(row - 2 * line, x) + codeAt(row + 2 * line, x);
    addOne(s.runningFrame, x, abs(near - here));
    addOne(s.runningField, x, abs(far - here));
    if (before !== 0) addOne(weave, x, abs(near - 2 * codeAt(before, x)));
  }
}
