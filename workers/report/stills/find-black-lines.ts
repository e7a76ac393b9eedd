import type { PicturePlan } from '../../measure/picture/plan/picture-plan.js';
import { lightLevels } from '../../measure/picture/temporal/light-levels.js';
import { BAR_LEVEL } from '../../measure/picture/temporal/temporal-columns.js';
import type { BlackLines, Marked } from './mark.js';

/** Within so many lines of the black ones the picture must begin; coding spoils a block of 8. */
const EDGE_LINES = 8;
/** Columns are measured on every fourth row. */
const ROW_STEP = 4;

/**
 * The black lines at the edges of a frame that a measurement speaks of. Marked only where every one of them
 * is black and the picture begins beside them; else no pixel is, and the frame does not show what was
 * measured.
 */
export function findBlackLines(
  { geometry, layout, meaning }: PicturePlan,
  codes: Uint16Array,
  lines: BlackLines,
): Marked {
  const { width, height } = geometry;
  const limit = lightLevels(layout.depth, meaning).codeAt(BAR_LEVEL);
  const isBlackRow = (y: number): boolean => {
    for (let x = 0; x < width; x++) if ((codes[y * width + x] ?? 0) > limit) return false;
    return true;
  };
  const isBlackColumn = (x: number): boolean => {
    for (let y = 0; y < height; y += ROW_STEP) if ((codes[y * width + x] ?? 0) > limit) return false;
    return true;
  };
  const isShown =
    isEdge(lines.top, height, isBlackRow) &&
    isEdge(lines.bottom, height, (y) => isBlackRow(height - 1 - y)) &&
    isEdge(lines.left, width, isBlackColumn) &&
    isEdge(lines.right, width, (x) => isBlackColumn(width - 1 - x));
  const mask = new Uint8Array(width * height);
  if (!isShown) return { mask, pixels: 0, peakNits: null };
  mask.fill(1);
  for (let y = lines.top; y < height - lines.bottom; y++) {
    mask.fill(0, y * width + lines.left, (y + 1) * width - lines.right);
  }
  return { mask, pixels: width * height - insideOf(lines, geometry), peakNits: null };
}

/** Share of the picture that so many lines at its edges are. */
export function shareOfLines(
  lines: BlackLines,
  size: { readonly width: number; readonly height: number },
): number {
  return 1 - insideOf(lines, size) / (size.width * size.height);
}

function insideOf(
  { top, bottom, left, right }: BlackLines,
  { width, height }: { readonly width: number; readonly height: number },
): number {
  return (width - left - right) * (height - top - bottom);
}

/** @param isBlack of the line so many lines from the edge */
function isEdge(lines: number, all: number, isBlack: (line: number) => boolean): boolean {
  for (let line = 0; line < lines; line++) if (!isBlack(line)) return false;
  if (lines === 0) return true;
  for (let line = lines; line < Math.min(lines + EDGE_LINES, all); line++) if (!isBlack(line)) return true;
  return false;
}
