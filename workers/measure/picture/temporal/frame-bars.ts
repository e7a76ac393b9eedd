import type { FrameFeatures } from '../kernel/frame-features.js';

/** Lines from each edge of one frame that are black all along. They may be bars, or a dark picture. */
export interface FrameBars {
  readonly top: number;
  readonly bottom: number;
  readonly left: number;
  readonly right: number;
  /** Sums of 1 (top), 2 (bottom), 4 (left), 8 (right): see TEMPORAL_COLUMNS. */
  readonly edges: number;
  readonly sharpEdges: number;
}

/**
 * Lines within which the picture must begin beside a bar (coding spoils a block of 8), and beside a blank
 * line (scaling blurs it).
 */
const EDGE_LINES = 8;
const SHARP_LINES = 3;

/**
 * @param black highest code of a black line; @param picture code above which a line beside it surely is
 * picture. Null where the whole frame is black. Columns are known on every fourth row only.
 */
export function frameBars(features: FrameFeatures, black: number, picture: number): FrameBars | null {
  const { rowMax, columnMax } = features;
  const top = blackLines(rowMax, black, 1);
  const left = blackLines(columnMax, black, 1);
  if (top === rowMax.length || left === columnMax.length) return null;
  const bottom = blackLines(rowMax, black, -1);
  const right = blackLines(columnMax, black, -1);
  const within = (most: number): number =>
    (isEdge(rowMax, top, picture, 1, most) ? 1 : 0) +
    (isEdge(rowMax, bottom, picture, -1, most) ? 2 : 0) +
    (isEdge(columnMax, left, picture, 1, most) ? 4 : 0) +
    (isEdge(columnMax, right, picture, -1, most) ? 8 : 0);
  return { top, bottom, left, right, edges: within(EDGE_LINES), sharpEdges: within(SHARP_LINES) };
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

/** Whether the picture begins within `most` lines of a bar, or there is none. */
function isEdge(lines: Uint16Array, bar: number, picture: number, step: 1 | -1, most: number): boolean {
  if (bar === 0) return true;
  for (let i = bar; i < Math.min(bar + most, lines.length); i++) {
    if (lineAt(lines, i, step) > picture) return true;
  }
  return false;
}
