import { Histogram, Job } from '../records';
import { BLOCK } from '../sizes';
import { addOne, addPairs, closeCells } from './cells';
import { bump, countSixteen } from './histogram';
import { otherRows, secondAt, thirdAt } from './pixels';
import { splats } from './splats';

/** Planes 1 and 2 of the open block: chroma, or B' and R', which are counted as colours. */
export function measureOthers(job: Job, y: i32): void {
  const picture = job.picture;
  const histograms = job.histograms;
  const cells = job.cells;
  const width = picture.chromaWidth;
  const from = (y / BLOCK) * (BLOCK >> picture.chromaShiftY);
  const to = from + otherRows(picture, y);
  const counted = picture.model === 0;
  for (let row = from; row < to; row++) {
    measureRow(secondAt(job, row), width, histograms.cb, counted, cells.second.running);
    measureRow(thirdAt(job, row), width, histograms.cr, counted, cells.third.running);
  }
  const perX = cells.size >> picture.chromaShiftX;
  const perY = cells.size >> picture.chromaShiftY;
  if (to <= from || (to % perY !== 0 && to !== picture.chromaHeight)) return;
  const first = ((to - 1) / perY) * cells.columns;
  closeCells(cells.second, first, width, perX);
  closeCells(cells.third, first, width, perX);
}

/** Adds a row to running sums of cells and, if `counted`, counts it by code. */
function measureRow(row: usize, width: i32, histogram: Histogram, counted: bool, running: usize): void {
  const counts = histogram.counts;
  const pairs = histogram.pairs;
  const whole = width & ~15;
  for (let x = 0; x < whole; x += 16) {
    const at = row + ((<usize>x) << 1);
    const left = i16x8.min_u(v128.load(at), splats.topCodes);
    const right = i16x8.min_u(v128.load(at, 16), splats.topCodes);
    if (counted) countSixteen(counts, pairs, left, right);
    addPairs(running, x, left);
    addPairs(running, x + 8, right);
  }
  const top = i16x8.extract_lane_u(splats.topCodes, 0);
  for (let x = whole; x < width; x++) {
    const code = min(<i32>load<u16>(row + ((<usize>x) << 1)), <i32>top);
    if (counted) bump(counts, code);
    addOne(running, x, code);
  }
}
