import { runsOf } from '../../figures/frame-ranges.js';
import type { StudyColumns } from '../recording/frame-study.js';
import { BLACK_AREA, isBlack, isSamePlate } from './find-flat.js';
import { at, type Run } from './frames-in-runs.js';
import type { TemporalColumn } from './temporal-columns.js';

type Columns = StudyColumns<TemporalColumn>;

/**
 * A frame this unlike the previous one, and this different, may begin a shot. Common practice, no source.
 */
const UNLIKE = 0.35;
const LEAST_CHANGE = 0.012;
/**
 * A cut stands out: the frames beside it are less than so many times as unlike the ones before them. Movement
 * swells and ebbs. Common practice, no source.
 */
const MOST_BESIDE = 0.5;
/** Shots shorter than this are listed. */
export const SHORT_SHOT_BELOW = 12;
/** From so many frames on that are all unlike the one before, it may be fast movement. */
const RESTLESS = 3;

export interface Shots {
  /** First frames of shots, without frame 0. */
  readonly cuts: readonly number[];
  /** Shots of fewer than SHORT_SHOT_BELOW frames. */
  readonly short: readonly Run[];
  /**
   * Where every frame is unlike the previous one, or a short shot does not stand out: short shots, or motion
   * too fast to tell.
   */
  readonly unclear: readonly Run[];
}

/**
 * Shots that are too short to be intended: frames left over at an edit. A frame that only mixes its
 * neighbours (fields or frames blended at a cut, the middle of a very short dissolve) is not a shot, nor is a
 * flash of light that leaves the pattern of the picture.
 */
export function findShots(columns: Columns): Shots {
  const frames = columns.unlike.length;
  const edges: Edge[] = [{ frame: 0, is: 'sure' }];
  const unclear: Run[] = [];
  for (let frame = 1; frame < frames; ) {
    let end = frame;
    while (end < frames && mayCut(columns, end)) end++;
    const run = { from: frame, to: end };
    if (end - frame >= RESTLESS) {
      if (!isWordsOnBlack(columns, run)) unclear.push(run);
      edges.push({ frame, is: 'restless' }, { frame: end - 1, is: 'restless' });
    } else {
      const is = standsOut(columns, run) ? 'sure' : 'doubtful';
      for (let cut = frame; cut < end; cut++) edges.push({ frame: cut, is });
    }
    frame = Math.max(end, frame + 1);
  }
  edges.push({ frame: frames, is: 'sure' });

  const notCuts = new Set<number>();
  const short: Run[] = [];
  for (let i = 0; i + 1 < edges.length; i++) {
    const [first, next] = [edges[i], edges[i + 1]];
    if (first === undefined || next === undefined) continue;
    if (first.is === 'restless' || next.is === 'restless') continue;
    const shot = { from: first.frame, to: next.frame };
    if (shot.to - shot.from >= SHORT_SHOT_BELOW || (shot.from === 0 && shot.to === frames)) continue;
    if (isMixture(columns, shot)) notCuts.add(shot.to);
    else if (isLight(columns, shot)) notCuts.add(shot.from).add(shot.to);
    else if (isBlackEnd(columns, shot, frames)) continue;
    else if (first.is === 'sure' && next.is === 'sure') short.push(shot);
    else unclear.push(shot);
  }
  const cuts = edges.map(({ frame }) => frame).filter((f) => f > 0 && f < frames && !notCuts.has(f));
  const isUnclear = new Uint8Array(frames);
  for (const { from, to } of unclear) isUnclear.fill(1, from, to);
  // In order, those that touch as one.
  return { cuts, short, unclear: runsOf(frames, (frame) => isUnclear[frame] === 1) };
}

interface Edge {
  readonly frame: number;
  readonly is: 'sure' | 'doubtful' | 'restless';
}

/** The frames of a run are far less like the ones before them than those on either side of the run. */
function standsOut({ unlike }: Columns, { from, to }: Run): boolean {
  const beside = Math.max(
    ...[from - 1, to].map((frame) => at(unlike, frame)).filter((u) => !Number.isNaN(u)),
  );
  for (let frame = from; frame < to; frame++) if (beside > MOST_BESIDE * at(unlike, frame)) return false;
  return true;
}

function mayCut(columns: Columns, frame: number): boolean {
  return (
    at(columns.unlike, frame) >= UNLIKE &&
    at(columns.cellChange1, frame) >= LEAST_CHANGE &&
    // Figures of a counter or words on a plate of one colour are another pattern, but no other shot.
    !isSamePlate(columns, frame)
  );
}

/** Credits that roll fast are another pattern in every frame. */
function isWordsOnBlack(columns: Columns, { from, to }: Run): boolean {
  for (let frame = from; frame < to; frame++) if (at(columns.darkArea, frame) < BLACK_AREA) return false;
  return true;
}

/**
 * Change of the cells from the frame before a shot of one or two frames to the frame after it; NaN for
 * others.
 */
function changeAcross(columns: Columns, { from, to }: Run): number {
  if (from === 0) return Number.NaN;
  if (to - from === 1) return at(columns.cellChange2, to);
  return to - from === 2 ? at(columns.cellChange3, to) : Number.NaN;
}

/** What lies between two pictures is no further from each than they are from one another. */
function isMixture(columns: Columns, shot: Run): boolean {
  const across = changeAcross(columns, shot);
  const steps = at(columns.cellChange1, shot.from) + at(columns.cellChange1, shot.to);
  return steps < 1.25 * across;
}

/** The picture comes back, and in between it was the same picture with more light on it. */
function isLight(columns: Columns, shot: Run): boolean {
  const across = changeAcross(columns, shot);
  const up = at(columns.cellChange1, shot.from);
  const down = at(columns.cellChange1, shot.to);
  return (
    across < 0.35 * Math.min(up, down) &&
    at(columns.unlike, shot.from) < 0.6 &&
    at(columns.brightened, shot.from) > 0.9 &&
    at(columns.brightened, shot.to) < 0.1
  );
}

/** Black at head or tail is a leader, not a shot. */
function isBlackEnd(columns: Columns, { from, to }: Run, frames: number): boolean {
  if (from > 0 && to < frames) return false;
  for (let frame = from; frame < to; frame++) if (!isBlack(columns, frame)) return false;
  return true;
}
