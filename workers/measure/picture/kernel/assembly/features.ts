import { Job } from '../records';
import { addOne, addPairs, closeCells } from './cells';
import { beforeAt, rowAt } from './pixels';
import { splats } from './splats';
import { highest, lowest } from './vectors';

export function openFeatures(job: Job): void {
  const columns = job.picture.width;
  job.results.mostChange = 0;
  memory.fill(job.extremes.columnMin, 0xff, (<usize>columns) << 1);
  memory.fill(job.extremes.columnMax, 0, (<usize>columns) << 1);
}

function codeAt(row: usize, x: i32): i32 {
  return min(<i32>load<u16>(row + ((<usize>x) << 1)), i32x4.extract_lane(splats.topCodes4, 0));
}

/**
 * Everything of plane 0 that does not need the colour, for the rows of the open block: extremes, cells,
 * change.
 */
export function measureFeatures(job: Job, from: i32, to: i32): void {
  const compared = beforeAt(job, from) !== 0;
  let y = from;
  // Sums of four codes fit 16 bits up to this depth.
  if (job.picture.topCode < 1 << 14) {
    for (; y + 4 <= to; y += 4) {
      fourExtremes(job, y);
      if (compared) fourChanges(job, y);
    }
  }
  for (; y < to; y++) {
    rowExtremes(job, y);
    if (compared) rowChange(job, y);
  }
  for (y = from; y < to; y += 4) columnExtremes(job, rowAt(job, y));
  for (y = from + 2; y < from + 4 && y + 2 < job.picture.height; y++) roughness(job, y);
  closeRowOfCells(job, to, compared);
}

/** After the last row of a row of cells. */
function closeRowOfCells(job: Job, to: i32, compared: bool): void {
  const cells = job.cells;
  const width = job.picture.width;
  const size = cells.size;
  if (to % size !== 0 && to !== job.picture.height) return;
  const first = ((to - 1) / size) * cells.columns;
  closeCells(cells.first, first, width, size);
  closeCells(cells.roughFrame, first, width, size);
  closeCells(cells.roughField, first, width, size);
  if (!compared) return;
  closeCells(cells.changeEven, first, width, size);
  closeCells(cells.changeOdd, first, width, size);
  closeCells(cells.weaveEven, first, width, size);
  closeCells(cells.weaveOdd, first, width, size);
}

/** Four rows at once: one sum of cells for all of them. */
function fourExtremes(job: Job, y: i32): void {
  const width = job.picture.width;
  const whole = width & ~7;
  const line = (<usize>width) << 1;
  const top = splats.topCodes;
  const sums = job.cells.first.running;
  const rowA = rowAt(job, y);
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
  endRow(job, y, rowA, lowest(lowA), highest(highA));
  endRow(job, y + 1, rowB, lowest(lowB), highest(highB));
  endRow(job, y + 2, rowC, lowest(lowC), highest(highC));
  endRow(job, y + 3, rowD, lowest(lowD), highest(highD));
}

/** The pixels that are left of a row, and its extremes. */
function endRow(job: Job, y: i32, row: usize, least: i32, most: i32): void {
  const width = job.picture.width;
  for (let x = width & ~7; x < width; x++) {
    const code = codeAt(row, x);
    least = min(least, code);
    most = max(most, code);
    addOne(job.cells.first.running, x, code);
  }
  store<u16>(job.extremes.rowMin + ((<usize>y) << 1), least);
  store<u16>(job.extremes.rowMax + ((<usize>y) << 1), most);
}

function change(now: v128, then: v128): v128 {
  return v128.or(i16x8.sub_sat_u(now, then), i16x8.sub_sat_u(then, now));
}

/** Running sums of change for the rows of the parity of `y`. */
function changeSums(job: Job, y: i32): usize {
  return (y & 1) === 0 ? job.cells.changeEven.running : job.cells.changeOdd.running;
}

function fourChanges(job: Job, y: i32): void {
  const width = job.picture.width;
  const whole = width & ~7;
  const line = (<usize>width) << 1;
  const top = splats.topCodes;
  const even = changeSums(job, y);
  const odd = changeSums(job, y + 1);
  const row = rowAt(job, y);
  const old = beforeAt(job, y);
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
  const most = highest(high);
  for (let i = 0; i < 4; i++) endChange(job, y + i, row + <usize>i * line, old + <usize>i * line, most);
}

/** The pixels that are left of a row, and its largest change, that of the others being `most`. */
function endChange(job: Job, y: i32, row: usize, before: usize, most: i32): void {
  const width = job.picture.width;
  const sums = changeSums(job, y);
  for (let x = width & ~7; x < width; x++) {
    const changed = abs(codeAt(row, x) - codeAt(before, x));
    most = max(most, changed);
    addOne(sums, x, changed);
  }
  job.results.mostChange = max(job.results.mostChange, most);
}

function rowExtremes(job: Job, y: i32): void {
  const row = rowAt(job, y);
  const whole = job.picture.width & ~7;
  const top = splats.topCodes;
  const sums = job.cells.first.running;
  let low = i16x8.splat(-1);
  let high = i16x8.splat(0);
  for (let x = 0; x < whole; x += 8) {
    const codes = i16x8.min_u(v128.load(row + ((<usize>x) << 1)), top);
    low = i16x8.min_u(low, codes);
    high = i16x8.max_u(high, codes);
    addPairs(sums, x, codes);
  }
  endRow(job, y, row, lowest(low), highest(high));
}

function rowChange(job: Job, y: i32): void {
  const row = rowAt(job, y);
  const before = beforeAt(job, y);
  const whole = job.picture.width & ~7;
  const top = splats.topCodes;
  const sums = changeSums(job, y);
  let high = i16x8.splat(0);
  for (let x = 0; x < whole; x += 8) {
    const at = (<usize>x) << 1;
    const now = i16x8.min_u(v128.load(row + at), top);
    const then = i16x8.min_u(v128.load(before + at), top);
    const changed = change(now, then);
    high = i16x8.max_u(high, changed);
    addPairs(sums, x, changed);
  }
  endChange(job, y, row, before, highest(high));
}

function columnExtremes(job: Job, row: usize): void {
  const width = job.picture.width;
  const columnMin = job.extremes.columnMin;
  const columnMax = job.extremes.columnMax;
  const whole = width & ~7;
  const top = splats.topCodes;
  for (let x = 0; x < whole; x += 8) {
    const at = (<usize>x) << 1;
    const codes = i16x8.min_u(v128.load(row + at), top);
    v128.store(columnMin + at, i16x8.min_u(v128.load(columnMin + at), codes));
    v128.store(columnMax + at, i16x8.max_u(v128.load(columnMax + at), codes));
  }
  for (let x = whole; x < width; x++) {
    const at = (<usize>x) << 1;
    const code = codeAt(row, x);
    store<u16>(columnMin + at, min(<i32>load<u16>(columnMin + at), code));
    store<u16>(columnMax + at, max(<i32>load<u16>(columnMax + at), code));
  }
}

/** |above + below - 2 middle| of eight codes of at most 12 bits. */
function bend(above: v128, below: v128, middle: v128): v128 {
  return i16x8.abs(i16x8.sub(i16x8.add(above, below), i16x8.add(middle, middle)));
}

function roughness(job: Job, y: i32): void {
  const row = rowAt(job, y);
  const before = beforeAt(job, y);
  const width = job.picture.width;
  const line = (<usize>width) << 1;
  // Second differences of more than 12 bits do not fit 16: such pictures go pixel by pixel.
  const whole = job.picture.topCode < 4096 ? width & ~7 : 0;
  const top = splats.topCodes;
  const cells = job.cells;
  const frame = cells.roughFrame.running;
  const field = cells.roughField.running;
  const weave = (y & 1) === 0 ? cells.weaveEven.running : cells.weaveOdd.running;
  for (let x = 0; x < whole; x += 8) {
    const at = row + ((<usize>x) << 1);
    const here = i16x8.min_u(v128.load(at), top);
    const above = i16x8.min_u(v128.load(at - line), top);
    const below = i16x8.min_u(v128.load(at + line), top);
    const above2 = i16x8.min_u(v128.load(at - 2 * line), top);
    const below2 = i16x8.min_u(v128.load(at + 2 * line), top);
    addPairs(frame, x, bend(above, below, here));
    addPairs(field, x, bend(above2, below2, here));
    if (before === 0) continue;
    const then = i16x8.min_u(v128.load(before + ((<usize>x) << 1)), top);
    addPairs(weave, x, bend(above, below, then));
  }
  for (let x = whole; x < width; x++) {
    const here = 2 * codeAt(row, x);
    const near = codeAt(row - line, x) + codeAt(row + line, x);
    const far = codeAt(row - 2 * line, x) + codeAt(row + 2 * line, x);
    addOne(frame, x, abs(near - here));
    addOne(field, x, abs(far - here));
    if (before !== 0) addOne(weave, x, abs(near - 2 * codeAt(before, x)));
  }
}
