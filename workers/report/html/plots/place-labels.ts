import { wordsWidth } from './mark-line.js';

/** A point of the drawing, CSS pixels from its upper left corner. */
export type Pixel = readonly [x: number, y: number];

export interface Box {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

export interface LabelLine {
  /** Height of the line, pixels from the top. */
  readonly y: number;
  readonly text: string;
  /** The words stand below the line, unless only the place above is free. */
  readonly below: boolean;
}

/** Places of a label at its line, in ECharts' words; the better ones first. */
const ABOVE = ['insideEndTop', 'insideMiddleTop', 'insideStartTop'] as const;
const BELOW = ['insideEndBottom', 'insideMiddleBottom', 'insideStartBottom'] as const;
export type LabelPlace = (typeof ABOVE)[number] | (typeof BELOW)[number];

/** Between words and line, and between words and the edge of the drawing. */
export const LABEL_DISTANCE = 5;
/** Height of a line per pixel of font size. */
const LINE = 1.2;

/**
 * Where the words of each line stand: where they cover least of the curves and of one another, and lie on the
 * paper.
 *
 * @param curves as they are drawn: polylines with gaps where a curve has none
 */
export function placeLabels(
  lines: readonly LabelLine[],
  curves: readonly (readonly Pixel[])[],
  paper: Box,
  fontSize: number,
): LabelPlace[] {
  const taken: Box[] = [];
  return lines.map((line) => {
    const candidates = line.below ? [...BELOW, ...ABOVE] : [...ABOVE, ...BELOW];
    let best: { place: LabelPlace; box: Box; cost: number } | null = null;
    for (const place of candidates) {
      const box = boxOf(line, place, paper, fontSize);
      const cost =
        curves.reduce((sum, curve) => sum + covered(curve, box), 0) +
        lines.filter((other) => other !== line && other.y > box.top && other.y < box.bottom).length * 50 +
        taken.filter((other) => touch(other, box)).length * 1000 +
        (box.top < paper.top - 3 || box.bottom > paper.bottom + 3 ? 2000 : 0);
      if (best === null || cost < best.cost) best = { place, box, cost };
    }
    if (best === null) return ABOVE[0];
    taken.push(best.box);
    return best.place;
  });
}

function boxOf(line: LabelLine, place: LabelPlace, paper: Box, fontSize: number): Box {
  const width = wordsWidth(line.text, fontSize);
  const height = fontSize * LINE;
  const middle = (paper.left + paper.right - width) / 2;
  const left = place.includes('End')
    ? paper.right - LABEL_DISTANCE - width
    : place.includes('Start')
      ? paper.left + LABEL_DISTANCE
      : middle;
  const top = place.endsWith('Top') ? line.y - LABEL_DISTANCE - height : line.y + LABEL_DISTANCE;
  return { left, right: left + width, top, bottom: top + height };
}

/** Pixels of a curve's length, about, that a box would cover. */
function covered(curve: readonly Pixel[], box: Box): number {
  let length = 0;
  for (let i = 1; i < curve.length; i++) {
    const [x0 = 0, y0 = 0] = curve[i - 1] ?? [];
    const [x1 = 0, y1 = 0] = curve[i] ?? [];
    // A gap is NaN, which is never inside.
    if (Math.max(x0, x1) < box.left || Math.min(x0, x1) > box.right) continue;
    const steps = Math.max(1, Math.ceil(Math.max(Math.abs(x1 - x0), Math.abs(y1 - y0))));
    for (let step = 0; step < steps; step++) {
      const x = x0 + ((x1 - x0) * step) / steps;
      const y = y0 + ((y1 - y0) * step) / steps;
      if (x >= box.left && x <= box.right && y >= box.top && y <= box.bottom) length += 1;
    }
  }
  return length;
}

function touch(a: Box, b: Box): boolean {
  return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}
