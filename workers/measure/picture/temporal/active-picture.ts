import type { PictureArea } from '../../../../jobs/measurement/measured-temporal.js';
import type { StudyColumns } from '../recording/frame-study.js';
import { at, type Run } from './frames-in-runs.js';
import type { TemporalColumn } from './temporal-columns.js';

type Columns = StudyColumns<TemporalColumn>;

export const SIDES = ['top', 'bottom', 'left', 'right'] as const;
export type Side = (typeof SIDES)[number];
/** Lines from each edge. */
export type Lines = Readonly<Record<Side, number>>;
const COLUMN = { top: 'barTop', bottom: 'barBottom', left: 'barLeft', right: 'barRight' } as const;
const BIT: Lines = { top: 1, bottom: 2, left: 4, right: 8 };

/** Frames a wider bar has to stand still for: dark edges of a picture move. Common practice, no source. */
export const LEAST_STEADY_FRAMES = 12;
/** Lines by which coding and scaling move the edge of a bar. */
const JITTER = 2;
/**
 * Less of the raster than this is a light in the dark, not a picture: an upright picture in a wide one is a
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
  const line = (side: Side): number => at(columns[COLUMN[side]], frame);
  if (Number.isNaN(line('top'))) return null;
  return { top: line('top'), bottom: line('bottom'), left: line('left'), right: line('right') };
}

/**
 * Whether a frame shows where the black on a side ends: picture begins beside it, or there is none, and it is
 * not mostly dark.
 */
export function isToldAt(
  columns: Columns,
  frame: number,
  side: Side,
  edges: 'barEdges' | 'sharpEdges',
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
  const counts = new Map<string, { bars: Lines; count: number }>();
  for (const of of bars) {
    const key = SIDES.map((side) => of[side]).join();
    const entry = counts.get(key);
    if (entry) entry.count++;
    else counts.set(key, { bars: of, count: 1 });
  }
  let best: { bars: Lines; count: number } | null = null;
  for (const entry of counts.values()) if (best === null || entry.count > best.count) best = entry;
  return best !== null && best.count >= Math.min(LEAST_STEADY_FRAMES, bars.length) ? best.bars : null;
}

function isNear(a: Lines, b: Lines): boolean {
  return SIDES.every((side) => Math.abs(a[side] - b[side]) <= JITTER);
}

interface Stretch extends Run {
  to: number;
  readonly bars: Lines;
  /** Picture shows where the programme's bars are. */
  sure: boolean;
}

/** Stretches whose bars are surely not `main`. Frames that do not tell go with the stretch around them. */
function otherBars(columns: Columns, told: readonly (Lines | null)[], main: Lines): readonly Stretch[] {
  const stretches: Stretch[] = [];
  let current: Stretch | null = null;
  for (let frame = 0; frame < told.length; frame++) {
    const intruding = intrusion(columns, frame, main);
    const bars = told[frame] ?? intruding;
    if (bars === null) continue;
    if (isNear(bars, main)) {
      current = null;
    } else if (current !== null && isNear(bars, current.bars) && frame - current.to <= LEAST_STEADY_FRAMES) {
      current.to = frame + 1;
      current.sure ||= intruding !== null;
    } else {
      current = { from: frame, to: frame + 1, bars, sure: intruding !== null };
      stretches.push(current);
    }
  }
  return stretches.filter(({ from, to, sure }) => sure || to - from >= LEAST_STEADY_FRAMES);
}

/** Picture where bars should be: dark or not, that is certain. */
function intrusion(columns: Columns, frame: number, main: Lines): Lines | null {
  const lines = linesAt(columns, frame);
  if (lines === null) return null;
  const side = (name: Side): number => (lines[name] < main[name] - JITTER ? lines[name] : main[name]);
  const bars = { top: side('top'), bottom: side('bottom'), left: side('left'), right: side('right') };
  return isNear(bars, main) ? null : bars;
}
