import { addOne, addPairs, closeCells } from './cells';
import { bump, countSixteen } from './histogram';
import { otherRows, secondAt, thirdAt } from './pixels';
import { BLOCK } from './sizes';
import * as s from './state';

/** Planes 1 and 2 of the open block: chroma, or B' and R', which are counted as colours. */
export function measureOthers(y: i32): void {
  const from = (y / BLOCK) * (BLOCK >> s.chromaShiftY);
  const to = from + otherRows(y);
  const counted = s.model === 0;
  for (let row = from; row < to; row++) {
    measureRow(secondAt(row), counted ? s.cbCounts : 0, s.cbPairs, s.runningSecond);
    measureRow(thirdAt(row), counted ? s.crCounts : 0, s.crPairs, s.runningThird);
  }
  const perX = s.cellSize >> s.chromaShiftX;
  const perY = s.cellSize >> s.chromaShiftY;
  if (to <= from || (to % perY !== 0 && to !== s.chromaHeight)) return;
  const cells = (to - 1) / perY;
  closeCells(s.runningSecond, s.chromaWidth, perX, s.cellSums1, cells);
  closeCells(s.runningThird, s.chromaWidth, perX, s.cellSums2, cells);
}

/** Counts a row by code and adds it to running sums of cells; with `counts` 0 only the cells. */
function measureRow(row: usize, counts: usize, pairs: usize, running: usize): void {
  const top = i16x8.splat(<i16>s.topCode);
  const whole = s.chromaWidth & ~15;
  for (let x = 0; x < whole; x += 16) {
    const at = row + ((<usize>x) << 1);
    const left = i16x8.min_u(v128.load(at), top);
    const right = i16x8.min_u(v128.load(at, 16), top);
    if (counts !== 0) countSixteen(counts, pairs, left, right);
    addPairs(running, x, left);
    addPairs(running, x + 8, right);
  }
  for (let x = whole; x < s.chromaWidth; x++) {
    const code = min(<i32>load<u16>(row + ((<usize>x) << 1)), s.topCode);
    if (counts !== 0) bump(counts, code);
    addOne(running, x, code);
  }
}
