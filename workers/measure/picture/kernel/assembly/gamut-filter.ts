import { countRowExactly, openExactFilter, REACH } from './gamut-exact';
import { countRowShortly, openShortFilter } from './gamut-short';
import * as s from './state';

/** The line above or below in the same field; at the top and bottom the line itself. */
function neighbour(y: i32, step: i32): i32 {
  const row = y + step;
  return row < 0 || row >= s.height ? y : row;
}

/** Pixels outside the tolerance of R 103 after its filter; see the oracle for why only marked surroundings are judged. */
export function countOutside(): i32 {
  let spanFrom = s.width;
  let spanTo = 0;
  for (let y = 0; y < s.height; y++) {
    const last = load<i32>(s.lastMarked + ((<usize>y) << 2));
    if (last < 0) continue;
    spanFrom = min(spanFrom, load<i32>(s.firstMarked + ((<usize>y) << 2)) - REACH);
    spanTo = max(spanTo, last + REACH + 1);
  }
  if (spanTo === 0) return 0;
  openExactFilter(max(spanFrom, 0), min(spanTo, s.width));
  if (s.sumsShort !== 0) openShortFilter();
  let outside = 0;
  for (let y = 0; y < s.height; y++) outside += countRow(y);
  return outside;
}

function countRow(y: i32): i32 {
  const step = s.interlaced ? 2 : 1;
  const up = neighbour(y, -step);
  const down = neighbour(y, step);
  let from = s.width;
  let to = 0;
  for (let i = 0; i < 3; i++) {
    const row = (<usize>(i === 0 ? up : i === 1 ? y : down)) << 2;
    const last = load<i32>(s.lastMarked + row);
    if (last < 0) continue;
    from = min(from, load<i32>(s.firstMarked + row) - REACH);
    to = max(to, last + REACH + 1);
  }
  from = max(from, 0);
  to = min(to, s.width);
  if (from >= to) return 0;
  if (s.sumsShort !== 0) return countRowShortly(up, y, down, from, to);
  return countRowExactly(up, y, down, from, to);
}
