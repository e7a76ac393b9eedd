import { Job, Picture } from '../records';
import { countRowExactly, openExactFilter, REACH } from './gamut-exact';
import { countRowShortly, openShortFilter } from './gamut-short';
import { firstMark, lastMark } from './marks';

/** The line above or below in the same field; at the top and bottom the line itself. */
function neighbour(picture: Picture, y: i32, step: i32): i32 {
  const row = y + step;
  return row < 0 || row >= picture.height ? y : row;
}

/**
 * Pixels outside the tolerance of R 103 after its filter; see the oracle for why only marked surroundings are
 * judged.
 */
export function countOutside(job: Job): i32 {
  const picture = job.picture;
  const frame = job.frame;
  let from = picture.width;
  let to = 0;
  for (let y = 0; y < picture.height; y++) {
    const last = lastMark(job.scratch, y);
    if (last < 0) continue;
    from = min(from, firstMark(job.scratch, y) - REACH);
    to = max(to, last + REACH + 1);
  }
  if (to === 0) return 0;
  frame.spanFrom = max(from, 0);
  frame.spanTo = min(to, picture.width);
  openExactFilter(job);
  if (job.shortMatrix.isUsed !== 0) openShortFilter(job);
  let outside = 0;
  for (let y = 0; y < picture.height; y++) outside += countRow(job, y);
  return outside;
}

function countRow(job: Job, y: i32): i32 {
  const picture = job.picture;
  const step = picture.interlaced ? 2 : 1;
  const up = neighbour(picture, y, -step);
  const down = neighbour(picture, y, step);
  let from = picture.width;
  let to = 0;
  for (let i = 0; i < 3; i++) {
    const row = i === 0 ? up : i === 1 ? y : down;
    const last = lastMark(job.scratch, row);
    if (last < 0) continue;
    from = min(from, firstMark(job.scratch, row) - REACH);
    to = max(to, last + REACH + 1);
  }
  from = max(from, 0);
  to = min(to, picture.width);
  if (from >= to) return 0;
  if (job.shortMatrix.isUsed !== 0) return countRowShortly(job, up, y, down, from, to);
  return countRowExactly(job, up, y, down, from, to);
}
