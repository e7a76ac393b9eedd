import { runsOf } from '../../figures/frame-ranges.js';
import type { StudyColumns } from '../recording/frame-study.js';
import { at, type Run } from './frames-in-runs.js';
import { FLAT_AREA, type TemporalColumn } from './temporal-columns.js';

/** Area that has to be dark (EBU QC item 0016B, its example), and that may be bright, in a black frame. */
export const BLACK_AREA = 0.9;
export const MOST_BRIGHT_AREA = 0.0002;
/**
 * Widest span of levels that is still told as one colour, of 90 % of the picture. EBU QC item 0016B has 10.5
 * % as its tolerance.
 */
export const WIDEST_FLAT = 0.105;
/**
 * The same of a plate: a made colour with no more than what coding adds. A dim picture spans more. Common
 * practice, no source.
 */
const WIDEST_PLATE = 0.03;

type Columns = StudyColumns<TemporalColumn>;

/** Black: nearly all of it dark, and nothing in it that shines. */
export function isBlack(columns: Columns, frame: number): boolean {
  return at(columns.darkArea, frame) >= BLACK_AREA && at(columns.brightArea, frame) <= MOST_BRIGHT_AREA;
}

export function findBlack(columns: Columns): Run[] {
  return runsOf(columns.darkArea.length, (frame) => isBlack(columns, frame));
}

export interface FlatRun extends Run {
  /** Narrowest and widest span of the frames of the run. */
  readonly spread: number;
  readonly widestSpread: number;
  /** Signals of the planes in the run's flattest frame. */
  readonly colour: readonly number[];
}

/** Runs of frames of one colour other than black; a run ends where the colour does. */
export function findFlat(columns: Columns): FlatRun[] {
  return runsOf(columns.flatSpread.length, (frame) => isFlat(columns, frame)).flatMap((run) =>
    splitAtColours(columns, run).map((part) => describe(columns, part)),
  );
}

/** This frame and the one before are nearly all one even colour, the same and not black. */
export function isSamePlate(columns: Columns, frame: number): boolean {
  return [frame - 1, frame].every((n) => isFlat(columns, n, WIDEST_PLATE)) && !changesColour(columns, frame);
}

function isFlat(columns: Columns, frame: number, widest = WIDEST_FLAT): boolean {
  return at(columns.flatSpread, frame) <= widest && at(columns.darkArea, frame) < FLAT_AREA;
}

function colourOf(columns: Columns, frame: number): number[] {
  return [columns.flatFirst, columns.flatSecond, columns.flatThird]
    .map((column) => at(column, frame))
    .filter((value) => !Number.isNaN(value));
}

function changesColour(columns: Columns, frame: number): boolean {
  const before = colourOf(columns, frame - 1);
  return colourOf(columns, frame).some(
    (value, plane) => Math.abs(value - (before[plane] ?? 0)) > WIDEST_FLAT / 2,
  );
}

function splitAtColours(columns: Columns, run: Run): Run[] {
  const parts: Run[] = [];
  let from = run.from;
  for (let frame = run.from + 1; frame <= run.to; frame++) {
    if (frame < run.to && !changesColour(columns, frame)) continue;
    parts.push({ from, to: frame });
    from = frame;
  }
  return parts;
}

function describe(columns: Columns, { from, to }: Run): FlatRun {
  let flattest = from;
  let widestSpread = 0;
  for (let frame = from; frame < to; frame++) {
    const spread = at(columns.flatSpread, frame);
    widestSpread = Math.max(widestSpread, spread);
    if (spread < at(columns.flatSpread, flattest)) flattest = frame;
  }
  return {
    from,
    to,
    spread: at(columns.flatSpread, flattest),
    widestSpread,
    colour: colourOf(columns, flattest),
  };
}
