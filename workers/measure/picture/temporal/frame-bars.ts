import type { FrameFeatures } from '../frame-features.js';

/** Lines from each edge of one frame that are black all along. They may be bars, or a dark picture. */
export interface FrameBars {
  readonly top: number;
  readonly bottom: number;
  readonly left: number;
  readonly right: number;
  /** Sum of 1 (top), 2 (bottom), 4 (left), 8 (right): see TEMPORAL_COLUMNS. */
  readonly sharp: number;
}

/** Lines within which the picture must begin for an edge to be sharp: coding and scaling blur it this far. */
const EDGE_LINES = 3;

/**
 * @param black highest code of a black line; @param picture code above which a line beside it surely is picture.
 * Null where the whole frame is black. Columns are known on every fourth row only.
 */
export function frameBars(features: FrameFeatures, black: number, picture: number): FrameBars | null {
  const { rowMax, columnMax } = features;
  const top = blackLines(rowMax, black, 1);
  const left = blackLines(columnMax, black, 1);
  if (top === rowMax.length || left === columnMax.length) return null;
  const bottom = blackLines(rowMax, black, -1);
  const right = blackLines(columnMax, black, -1);
  const sharp =
    (isSharp(rowMax, top, picture, 1) ? 1 : 0) +
    (isSharp(rowMax, bottom, picture, -1) ? 2 : 0) +
    (isSharp(columnMax, left, picture, 1) ? 4 : 0) +
    (isSharp(columnMax, right, picture, -1) ? 8 : 0);
  return { top, bottom, left, right, sharp };
}

/** Line `index` from the first (step 1) or the last (step -1). */
function lineAt(lines: Uint16Array, index: number, step: 1 | -1): number {
  return lines[step === 1 ? index : lines.length - 1 - index] ?? 0;
}

function blackLines(lines: Uint16Array, black: number, step: 1 | -1): number {
  let count = 0;
  while (count < lines.length && lineAt(lines, count, step) <= black) count++;
  return count;
}

function isSharp(lines: Uint16Array, bar: number, picture: number, step: 1 | -1): boolean {
  if (bar === 0) return true;
  for (let i = bar; i < Math.min(bar + EDGE_LINES, lines.length); i++) {
    if (lineAt(lines, i, step) > picture) return true;
  }
  return false;
}
