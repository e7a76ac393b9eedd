import type { FrameFeatures } from '../kernel/frame-features.js';

/** Lines from each edge of one frame that are black all along. They may be bars, or a dark picture. */
export interface FrameBars {
  readonly top: number;
  readonly bottom: number;
  readonly left: number;
  readonly right: number;
  /** Lines from each edge to the first that surely is picture. */
  readonly picture: Readonly<Record<'top' | 'bottom' | 'left' | 'right', number>>;
  /** Sums of 1 (top), 2 (bottom), 4 (left), 8 (right): see TEMPORAL_COLUMNS. */
  readonly edges: number;
  readonly sharpEdges: number;
  readonly fullEdges: number;
}

/**
 * Lines within which the picture must begin beside a bar (coding spoils a block of 16), and beside a blank
 * line (scaling blurs it).
 */
export const EDGE_LINES = 16;
const SHARP_LINES = 3;
/**
 * Share of an edge along which a picture stands that fills it. A few lamps in the night do not. Common
 * practice, no source.
 */
const FULL_SHARE = 0.5;

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
  const begins = {
    top: firstAbove(rowMax, picture, 1),
    bottom: firstAbove(rowMax, picture, -1),
    left: firstAbove(columnMax, picture, 1),
    right: firstAbove(columnMax, picture, -1),
  };
  const bits = (has: (side: 'top' | 'bottom' | 'left' | 'right', lines: number) => boolean): number =>
    (has('top', top) ? 1 : 0) +
    (has('bottom', bottom) ? 2 : 0) +
    (has('left', left) ? 4 : 0) +
    (has('right', right) ? 8 : 0);
  return {
    top,
    bottom,
    left,
    right,
    picture: begins,
    edges: bits((side, lines) => lines === 0 || begins[side] < lines + EDGE_LINES),
    sharpEdges: bits((side, lines) => lines === 0 || begins[side] < lines + SHARP_LINES),
    fullEdges: bits((side, lines) => lines === 0 || isFull(features, side, begins[side], picture)),
  };
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

/** Lines from an edge to the first above a code; all of them where none is. */
function firstAbove(lines: Uint16Array, code: number, step: 1 | -1): number {
  let count = 0;
  while (count < lines.length && lineAt(lines, count, step) <= code) count++;
  return count;
}

/**
 * Whether picture stands along the edge at which it begins: the means of most cells that lie next to that and
 * wholly beyond it are those of picture.
 */
function isFull(
  { rowMax, columnMax, cells }: FrameFeatures,
  side: 'top' | 'bottom' | 'left' | 'right',
  lines: number,
  picture: number,
): boolean {
  const { size, columns, rows } = cells;
  const upright = side === 'left' || side === 'right';
  const length = upright ? columnMax.length : rowMax.length;
  const fromStart = side === 'top' || side === 'left';
  // Cells are counted from the top left; the last may be cut.
  const beyond = fromStart ? Math.ceil(lines / size) : Math.floor((length - lines) / size) - 1;
  const across = upright ? rows : columns;
  let full = 0;
  for (let i = 0; i < across; i++) {
    const [column, row] = upright ? [beyond, i] : [i, beyond];
    const sum = cells.sums[0]?.[row * columns + column] ?? 0;
    const pixels =
      Math.min(size, columnMax.length - column * size) * Math.min(size, rowMax.length - row * size);
    if (pixels > 0 && sum > picture * pixels) full++;
  }
  return full >= FULL_SHARE * across;
}
