import { runsOf } from '../../frame-ranges.js';
import type { StudyColumns } from '../frame-study.js';
import { at, type Run } from './frames-in-runs.js';
import { DRIFT_FRAMES, type TemporalColumn } from './temporal-columns.js';

type Columns = StudyColumns<TemporalColumn>;

/** Mean change from frame to frame below which a picture stands still. Common practice, no source. */
export const FREEZE_DB = -60;
const STILL = 10 ** (FREEZE_DB / 20);
/** Shorter ones are not told apart from repeated frames. */
export const LEAST_FREEZE_FRAMES = DRIFT_FRAMES + 1;
/** A coder's key frame redraws a still picture: one frame that changes so little, and not in its cells, does not end a freeze. */
const REDRAWN = 10 * STILL;

/** A picture with nothing in it that could move. */
const WHOLLY_DARK = 0.999;

export interface Freeze extends Run {
  /** Every frame is the first one, sample by sample (of plane 0). */
  readonly identical: boolean;
}

/**
 * Runs of frames that show one picture: the mean change from frame to frame stays below -60 dB of the range, and so does
 * the change of the cell means over 12 frames, which slow zooms and fades do not pass. Black is not a freeze.
 */
export function findFreezes(columns: Columns): Freeze[] {
  const frames = columns.changeMean.length;
  const isStill = (frame: number): boolean => {
    const change = at(columns.changeMean, frame);
    if (change <= STILL) return true;
    return (
      change <= REDRAWN &&
      at(columns.cellChange1, frame) <= STILL &&
      at(columns.changeMean, frame - 1) <= STILL &&
      at(columns.changeMean, frame + 1) <= STILL
    );
  };
  const held = new Uint8Array(frames);
  let still = 0;
  for (let frame = 1; frame < frames; frame++) {
    still = isStill(frame) ? still + 1 : 0;
    if (still < DRIFT_FRAMES || !(at(columns.cellDrift, frame) <= STILL)) continue;
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
