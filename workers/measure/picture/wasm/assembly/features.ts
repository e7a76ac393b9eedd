import { addOne, addPairs, closeCells } from './cells';
import { rowOf } from './pixels';
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

/** Everything of plane 0 that does not need the colour: extremes, cells, change. `before` is the row of the frame before, or 0. */
export function measureFeatures(y: i32, before: usize): void {
  const row = rowOf(y);
  rowExtremes(y, row);
  if (before !== 0) rowChange(y, row, before);
  if ((y & 3) === 0) columnExtremes(row);
  const sampled = ((y & 7) === 2 || (y & 7) === 3) && y + 2 < s.height;
  if (sampled) roughness(y, row, before);
  const size = s.cellSize;
  if ((y + 1) % size === 0 || y + 1 === s.height) {
    const cells = y / size;
    closeCells(s.runningSums, s.width, size, s.cellSums0, cells);
    closeCells(s.runningFrame, s.width, size, s.roughFrame, cells);
    closeCells(s.runningField, s.width, size, s.roughField, cells);
    if (before === 0) return;
    closeCells(s.runningEven, s.width, size, s.changeEven, cells);
    closeCells(s.runningOdd, s.width, size, s.changeOdd, cells);
    closeCells(s.runningWeaveEven, s.width, size, s.weaveEven, cells);
    closeCells(s.runningWeaveOdd, s.width, size, s.weaveOdd, cells);
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
  let least = lowest(low);
  let most = highest(high);
  for (let x = whole; x < s.width; x++) {
    const code = codeAt(row, x);
    least = min(least, code);
    most = max(most, code);
    addOne(sums, x, code);
  }
  store<u16>(s.rowMin + ((<usize>y) << 1), least);
  store<u16>(s.rowMax + ((<usize>y) << 1), most);
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
    const change = v128.or(i16x8.sub_sat_u(now, then), i16x8.sub_sat_u(then, now));
    high = i16x8.max_u(high, change);
    addPairs(sums, x, change);
  }
  let most = max(mostChange, highest(high));
  for (let x = whole; x < s.width; x++) {
    const change = abs(codeAt(row, x) - codeAt(before, x));
    most = max(most, change);
    addOne(sums, x, change);
  }
  mostChange = most;
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
