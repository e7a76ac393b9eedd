import type { PictureArea } from '../../../../jobs/measurement/measured-temporal.js';
import type { StudyColumns } from '../recording/frame-study.js';
import { EDGE_LINES } from './frame-bars.js';
import { at, type Run } from './frames-in-runs.js';
import type { TemporalColumn } from './temporal-columns.js';

type Columns = StudyColumns<TemporalColumn>;

export const SIDES = ['top', 'bottom', 'left', 'right'] as const;
export type Side = (typeof SIDES)[number];
/** Lines from each edge. */
export type Lines = Readonly<Record<Side, number>>;
/** Bars of one frame, and where the picture certainly begins on each side. */
interface FrameLines {
  readonly bars: Lines;
  readonly picture: Lines;
}
const COLUMN = { top: 'barTop', bottom: 'barBottom', left: 'barLeft', right: 'barRight' } as const;
const PICTURE = {
  top: 'pictureTop',
  bottom: 'pictureBottom',
  left: 'pictureLeft',
  right: 'pictureRight',
} as const;
const BIT: Lines = { top: 1, bottom: 2, left: 4, right: 8 };

/**
 * Least number of frames a wider bar must stand still: dark edges of a picture move. Common practice, no
 * source.
 */
export const LEAST_STEADY_FRAMES = 12;
/** Lines by which coding and scaling move the edge of a bar. */
const JITTER = 2;
/**
 * A smaller part of the raster is a light in the dark, not a picture: an upright picture in a wide one is a
 * third.
 */
const LEAST_AREA = 0.25;
/** A picture that is darker than this inside its bars may be a title on black. */
const MOST_DARK_INSIDE = 0.5;

export interface ActivePicture {
  readonly leastBar: number;
  readonly area: PictureArea | null;
  /** Bars of `area`. */
  readonly bars: Lines | null;
  readonly framesTold: number;
  readonly others: readonly (Run & { readonly area: PictureArea })[];
}

/** 8 lines of 1080, in proportion; never fewer than 2. */
export function leastBar(height: number): number {
  return Math.max(2, Math.ceil((8 * height) / 1080));
}

/** Black lines at the edges of a frame, whatever they are; null for a frame that is black throughout. */
export function linesAt(columns: Columns, frame: number): Lines | null {
  if (Number.isNaN(at(columns.barTop, frame))) return null;
  return ofSides((side) => at(columns[COLUMN[side]], frame));
}

/** Lines from each edge to where picture surely is; only of frames that linesAt knows. */
export function pictureAt(columns: Columns, frame: number): Lines {
  return ofSides((side) => at(columns[PICTURE[side]], frame));
}

function ofSides(of: (side: Side) => number): Lines {
  return { top: of('top'), bottom: of('bottom'), left: of('left'), right: of('right') };
}

/**
 * Whether a frame shows where the black on a side ends: picture begins beside it, or there is none, and it is
 * not mostly dark.
 */
export function isToldAt(
  columns: Columns,
  frame: number,
  side: Side,
  edges: 'barEdges' | 'sharpEdges' | 'fullEdges',
): boolean {
  const lines = linesAt(columns, frame);
  if (lines === null) return false;
  if (lines[side] === 0) return true;
  const isEdge = (at(columns[edges], frame) & BIT[side]) !== 0;
  return isEdge && at(columns.darkInside, frame) <= MOST_DARK_INSIDE;
}

/**
 * Where the picture is. A dark picture can only make bars look wider than they are, never narrower: so a
 * frame tells where its bars end only if they end sharply, beside picture; the bars of most such frames are
 * the programme's; and elsewhere they are narrower where picture shows in them, wider only where both of a
 * pair are, and stand still.
 */
export function activePicture(
  columns: Columns,
  raster: { readonly width: number; readonly height: number },
  shots: number,
): ActivePicture {
  const least = leastBar(raster.height);
  const frames = columns.barTop.length;
  const lopsided = mayBeLopsided(columns, least, shots);
  const isPicture = (of: Lines): boolean =>
    (raster.width - of.left - of.right) * (raster.height - of.top - of.bottom) >=
    LEAST_AREA * raster.width * raster.height;
  const told = Array.from({ length: frames }, (_, frame) => {
    const bars = barsOf(columns, frame, least, lopsided);
    return bars !== null && isPicture(bars) ? bars : null;
  });
  const known = told.filter((bars) => bars !== null);
  const bars = mostFrequent(known);
  if (bars === null) return { leastBar: least, area: null, bars: null, framesTold: 0, others: [] };
  const areaOf = (of: Lines): PictureArea => ({
    left: of.left,
    top: of.top,
    width: raster.width - of.left - of.right,
    height: raster.height - of.top - of.bottom,
  });
  const others = otherBars(columns, told, bars).map(({ from, to, bars: of }) => ({
    from,
    to,
    area: areaOf(of),
  }));
  return { leastBar: least, area: areaOf(bars), bars, framesTold: known.length, others };
}

/**
 * A bar on one side alone is believed only if it is there in every frame of several shots: else it is a black
 * sky.
 */
function mayBeLopsided(columns: Columns, least: number, shots: number): (side: Side) => boolean {
  if (shots < 3) return () => false;
  const narrowest = new Map(
    SIDES.map((side) => {
      let lines = Number.POSITIVE_INFINITY;
      for (const value of columns[COLUMN[side]]) if (value < lines) lines = value;
      return [side, lines];
    }),
  );
  return (side) => (narrowest.get(side) ?? 0) >= least;
}

/** The bars a frame shows, thin edges counted as none; null where it does not show where they end. */
function barsOf(
  columns: Columns,
  frame: number,
  least: number,
  lopsided: (side: Side) => boolean,
): Lines | null {
  const lines = linesAt(columns, frame);
  if (lines === null || !SIDES.every((side) => isToldAt(columns, frame, side, 'barEdges'))) return null;
  const pair = (one: Side, other: Side): [number, number] => {
    const isPair = lines[one] >= least && lines[other] >= least;
    const width = (side: Side): number =>
      lines[side] >= least && (isPair || lopsided(side)) ? lines[side] : 0;
    return [width(one), width(other)];
  };
  const [top, bottom] = pair('top', 'bottom');
  const [left, right] = pair('left', 'right');
  return { top, bottom, left, right };
}

/** The bars of most frames; null where none stand still. */
function mostFrequent(bars: readonly Lines[]): Lines | null {
  const best = counted(bars);
  return best !== null && best.count >= Math.min(LEAST_STEADY_FRAMES, bars.length) ? best.bars : null;
}

/** The bars that are there most often, and how often. */
function counted(bars: readonly Lines[]): { readonly bars: Lines; readonly count: number } | null {
  const counts = new Map<string, { bars: Lines; count: number }>();
  for (const of of bars) {
    const key = SIDES.map((side) => of[side]).join();
    const entry = counts.get(key);
    if (entry) entry.count++;
    else counts.set(key, { bars: of, count: 1 });
  }
  let best: { bars: Lines; count: number } | null = null;
  for (const entry of counts.values()) if (best === null || entry.count > best.count) best = entry;
  return best;
}

/**
 * Whether two frames may have the same bars. Coarse coding leaves lines beside an edge that are neither black
 * nor picture, more of
 * them in some frames than in others: the edge may be at any of them.
 */
function mayBeAlike(a: FrameLines, b: FrameLines): boolean {
  return SIDES.every((side) => mayBeOneEdge(edgeOf(a, side), edgeOf(b, side)));
}

function edgeOf({ bars, picture }: FrameLines, side: Side): BarEdge {
  return { lines: bars[side], picture: picture[side] };
}

/** Where a bar ends on one side: black lines, and lines to the first that surely is picture. */
export interface BarEdge {
  readonly lines: number;
  readonly picture: number;
}

export function mayBeOneEdge(a: BarEdge, b: BarEdge): boolean {
  if (Math.abs(a.lines - b.lines) <= JITTER) return true;
  // A side without a bar has no edge to be spoilt.
  if (a.lines === 0 || b.lines === 0) return false;
  return a.lines <= b.picture + JITTER && b.lines <= a.picture + JITTER;
}

interface Stretch extends Run {
  to: number;
  readonly first: FrameLines;
  readonly told: Lines[];
  /** Picture shows where the programme's bars are. */
  sure: boolean;
}

/** Stretches whose bars are surely not `main`. Frames that do not tell go with the stretch around them. */
function otherBars(
  columns: Columns,
  told: readonly (Lines | null)[],
  main: Lines,
): readonly (Run & { readonly bars: Lines })[] {
  const stretches: Stretch[] = [];
  let current: Stretch | null = null;
  const programme = { bars: main, picture: main };
  for (let frame = 0; frame < told.length; frame++) {
    const intruding = intrusion(columns, frame, main);
    const bars = told[frame] ?? intruding;
    if (bars === null) continue;
    const here = { bars, picture: pictureAt(columns, frame) };
    if (mayBeAlike(here, programme)) {
      current = null;
    } else if (
      current !== null &&
      mayBeAlike(here, current.first) &&
      frame - current.to <= LEAST_STEADY_FRAMES
    ) {
      current.to = frame + 1;
      current.told.push(bars);
      current.sure ||= intruding !== null;
    } else {
      current = { from: frame, to: frame + 1, first: here, told: [bars], sure: intruding !== null };
      stretches.push(current);
    }
  }
  return stretches
    .filter(({ from, to, sure }) => sure || to - from >= LEAST_STEADY_FRAMES)
    .map(({ from, to, first, told: of }) => ({ from, to, bars: counted(of)?.bars ?? first.bars }));
}

/**
 * Picture where bars should be: certain, unless it is so near their edge and so dark that coding may have
 * left it.
 */
function intrusion(columns: Columns, frame: number, main: Lines): Lines | null {
  const lines = linesAt(columns, frame);
  if (lines === null) return null;
  const picture = pictureAt(columns, frame);
  const intrudes = (side: Side): boolean =>
    picture[side] < main[side] - JITTER || lines[side] < main[side] - EDGE_LINES;
  if (!SIDES.some(intrudes)) return null;
  return ofSides((side) => (intrudes(side) ? lines[side] : main[side]));
}
