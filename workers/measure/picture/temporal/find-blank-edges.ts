import type { StudyColumns } from '../recording/frame-study.js';
import {
  type BarEdge,
  isToldAt,
  LEAST_STEADY_FRAMES,
  type Lines,
  linesAt,
  mayBeOneEdge,
  pictureAt,
  SIDES,
  type Side,
} from './active-picture.js';
import type { Run } from './frames-in-runs.js';
import type { TemporalColumn } from './temporal-columns.js';

type Columns = StudyColumns<TemporalColumn>;

/**
 * Largest part of the width or height that a strip at one edge may take. More is a bar that lacks its fellow,
 * or a dark part of the picture. Common practice, no source.
 */
const WIDEST_STRIP = 0.05;
const OPPOSITE = { top: 'bottom', bottom: 'top', left: 'right', right: 'left' } as const;

export interface BlankEdge extends Run {
  readonly side: Side;
  readonly lines: number;
}

/**
 * Black lines at an edge that are too few to be a bar, or have no fellow at the other edge and picture all
 * along, and stand still while the picture beside them is not black: for 12 frames, or from cut to cut. A
 * frame too dark to tell does not end them.
 *
 * @param bars of the programme: beside a bar, blank lines cannot be told from it. @param edges first frames
 * of shots.
 */
export function findBlankEdges(
  columns: Columns,
  bars: Lines | null,
  leastBar: number,
  raster: { readonly width: number; readonly height: number },
  cuts: readonly number[],
): BlankEdge[] {
  const frames = columns.barTop.length;
  const edges = new Set([0, ...cuts, frames]);
  return SIDES.filter((side) => (bars?.[side] ?? 0) === 0)
    .flatMap((side) => {
      const across = side === 'top' || side === 'bottom' ? raster.height : raster.width;
      return edgeRuns(columns, side, { leastBar, widest: WIDEST_STRIP * across });
    })
    .filter(
      ({ from, to, told }) =>
        told.length >= LEAST_STEADY_FRAMES || (told.length === to - from && edges.has(from) && edges.has(to)),
    )
    .map(({ from, to, side, told }) => ({ from, to, side, lines: mostFrequent(told) }))
    .sort((a, b) => a.from - b.from || SIDES.indexOf(a.side) - SIDES.indexOf(b.side));
}

interface CountedEdge extends BlankEdge {
  to: number;
  readonly edge: BarEdge;
  readonly isStrip: boolean;
  /** Numbers of lines of the frames that tell. */
  readonly told: number[];
}

function edgeRuns(
  columns: Columns,
  side: Side,
  limits: { readonly leastBar: number; readonly widest: number },
): readonly CountedEdge[] {
  const found: CountedEdge[] = [];
  let current: CountedEdge | null = null;
  for (let frame = 0; frame < columns.barTop.length; frame++) {
    const all = linesAt(columns, frame);
    if (all === null) continue;
    const edge = { lines: all[side], picture: pictureAt(columns, frame)[side] };
    const isStrip = isStripAt(columns, frame, side, limits);
    const told = isStrip || (edge.lines < limits.leastBar && isToldAt(columns, frame, side, 'sharpEdges'));
    if (current !== null && !goesOn(current, edge, told)) current = null;
    if (!told || edge.lines === 0) continue;
    if (current === null) {
      current = { from: frame, to: frame, side, lines: edge.lines, edge, isStrip, told: [] };
      found.push(current);
    }
    current.to = frame + 1;
    current.told.push(edge.lines);
  }
  return found;
}

/**
 * Whether a run goes on. A dark picture may look as if more lines were blank, never fewer; coding may spoil
 * the edge of a strip.
 */
function goesOn({ edge, isStrip }: CountedEdge, now: BarEdge, told: boolean): boolean {
  if (isStrip) return mayBeOneEdge(edge, now) || (!told && now.lines > edge.lines);
  return told ? now.lines === edge.lines : now.lines >= edge.lines;
}

/** A strip as wide as a bar, which has no fellow at the other edge, and picture all along. */
function isStripAt(
  columns: Columns,
  frame: number,
  side: Side,
  { leastBar, widest }: { readonly leastBar: number; readonly widest: number },
): boolean {
  const lines = linesAt(columns, frame);
  return (
    lines !== null &&
    lines[side] >= leastBar &&
    lines[side] <= widest &&
    lines[OPPOSITE[side]] < leastBar &&
    isToldAt(columns, frame, side, 'barEdges') &&
    isToldAt(columns, frame, side, 'fullEdges')
  );
}

/** The number that is there most often, the first of equals. */
function mostFrequent(numbers: readonly number[]): number {
  const times = (of: number): number => numbers.filter((number) => number === of).length;
  return [...new Set(numbers)].reduce((best, of) => (times(of) > times(best) ? of : best), numbers[0] ?? 0);
}
