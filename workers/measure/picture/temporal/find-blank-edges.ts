import type { StudyColumns } from '../recording/frame-study.js';
import { isToldAt, LEAST_STEADY_FRAMES, type Lines, linesAt, SIDES, type Side } from './active-picture.js';
import type { Run } from './frames-in-runs.js';
import type { TemporalColumn } from './temporal-columns.js';

type Columns = StudyColumns<TemporalColumn>;

export interface BlankEdge extends Run {
  readonly side: Side;
  readonly lines: number;
}

/**
 * Black lines at an edge that are too few to be a bar, and stand still while the picture beside them is not
 * black: for 12 frames, or from cut to cut. A frame too dark to tell does not end them.
 *
 * @param bars of the programme: beside a bar, blank lines cannot be told from it. @param edges first frames
 * of shots.
 */
export function findBlankEdges(
  columns: Columns,
  bars: Lines | null,
  leastBar: number,
  cuts: readonly number[],
): BlankEdge[] {
  const frames = columns.barTop.length;
  const edges = new Set([0, ...cuts, frames]);
  return SIDES.filter((side) => (bars?.[side] ?? 0) === 0)
    .flatMap((side) => edgeRuns(columns, side, leastBar))
    .filter(
      ({ from, to, told }) =>
        told >= LEAST_STEADY_FRAMES || (told === to - from && edges.has(from) && edges.has(to)),
    )
    .map(({ from, to, side, lines }) => ({ from, to, side, lines }))
    .sort((a, b) => a.from - b.from || SIDES.indexOf(a.side) - SIDES.indexOf(b.side));
}

interface CountedEdge extends BlankEdge {
  to: number;
  /** Frames that tell. */
  told: number;
}

function edgeRuns(columns: Columns, side: Side, leastBar: number): readonly CountedEdge[] {
  const found: CountedEdge[] = [];
  let current: CountedEdge | null = null;
  for (let frame = 0; frame < columns.barTop.length; frame++) {
    const lines = linesAt(columns, frame)?.[side];
    if (lines === undefined) continue;
    const told = isToldAt(columns, frame, side, 'sharpEdges');
    // A dark picture may look as if more lines were blank, never fewer.
    if (current !== null && (told ? lines !== current.lines : lines < current.lines)) current = null;
    if (!told || lines === 0 || lines >= leastBar) continue;
    if (current === null) {
      current = { from: frame, to: frame, side, lines, told: 0 };
      found.push(current);
    }
    current.to = frame + 1;
    current.told++;
  }
  return found;
}
