import { runsOf } from '../../figures/frame-ranges.js';
import type { StudyColumns } from '../recording/frame-study.js';
import { at, type Run } from './frames-in-runs.js';
import { DRIFT_FRAMES, type TemporalColumn } from './temporal-columns.js';

type Columns = StudyColumns<TemporalColumn>;

/** Mean change from frame to frame below which a picture stands still. Common practice, no source. */
export const FREEZE_DB = -60;
const STILL = 10 ** (FREEZE_DB / 20);
/** Shorter ones are not told apart from repeated frames. */
export const LEAST_FREEZE_FRAMES = DRIFT_FRAMES + 1;
/**
 * A lossy coder redraws a still picture at its key frames. One or two such frames do not end a freeze: they
 * change the picture by no more than this, everywhere a little and nowhere much, and its cells hardly. Found
 * by trial on coded stills.
 */
const REDRAW = { frames: 2, change: 0.02, most: 0.3, spread: 0.05, cells: 0.003 } as const;
/** Largest change of the cells over DRIFT_FRAMES; redrawing is allowed for. */
const MOST_DRIFT = 0.003;

/** A picture with nothing in it that could move. */
const WHOLLY_DARK = 0.999;

export interface Freeze extends Run {
  /** Every frame is the first one, sample by sample (of plane 0). */
  readonly identical: boolean;
}

/**
 * Runs of frames that show one picture: the mean change from frame to frame stays below -60 dB of the range,
 * and the cell means change little over 12 frames, which slow zooms and fades do not pass. Black is not a
 * freeze.
 */
export function findFreezes(columns: Columns): Freeze[] {
  const frames = columns.changeMean.length;
  const isStill = (frame: number): boolean => isQuiet(columns, frame) || isRedrawn(columns, frame);
  const held = new Uint8Array(frames);
  let still = 0;
  for (let frame = 1; frame < frames; frame++) {
    still = isStill(frame) ? still + 1 : 0;
    if (still < DRIFT_FRAMES || !(at(columns.cellDrift, frame) <= MOST_DRIFT)) continue;
    held.fill(1, frame - DRIFT_FRAMES, frame + 1);
  }
  const apart = (frame: number): boolean =>
    held[frame] === 1 && !(at(columns.darkArea, frame) >= WHOLLY_DARK);
  return runsOf(frames, apart)
    .flatMap((run) => splitAtChanges(run, isStill))
    .filter(({ from, to }) => to - from >= LEAST_FREEZE_FRAMES)
    .map(({ from, to }) => {
      let most = 0;
      for (let frame = from + 1; frame < to; frame++) most = Math.max(most, at(columns.changeMost, frame));
      return { from, to, identical: most === 0 };
    });
}

function isQuiet({ changeMean }: Columns, frame: number): boolean {
  return at(changeMean, frame) <= STILL;
}

/** One of at most two frames in a row that are redrawn, with stillness before and after. */
function isRedrawn(columns: Columns, frame: number): boolean {
  const redraws = (n: number): boolean =>
    at(columns.changeMean, n) <= REDRAW.change &&
    at(columns.changeMost, n) <= REDRAW.most &&
    at(columns.changeSpread, n) >= REDRAW.spread &&
    at(columns.cellChange1, n) <= REDRAW.cells;
  let from = frame;
  let to = frame;
  while (to < frame + REDRAW.frames && redraws(to) && !isQuiet(columns, to)) to++;
  while (to - from < REDRAW.frames + 1 && redraws(from - 1) && !isQuiet(columns, from - 1)) from--;
  return to > frame && to - from <= REDRAW.frames && isQuiet(columns, from - 1) && isQuiet(columns, to);
}

/** Two freezes may follow one another without a frame between. */
function splitAtChanges({ from, to }: Run, isStill: (frame: number) => boolean): Run[] {
  const parts: Run[] = [];
  let start = from;
  for (let frame = from + 1; frame <= to; frame++) {
    if (frame < to && isStill(frame)) continue;
    parts.push({ from: start, to: frame });
    start = frame;
  }
  return parts;
}
