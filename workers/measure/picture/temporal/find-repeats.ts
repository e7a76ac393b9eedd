import type { StudyColumns } from '../recording/frame-study.js';
import { FREEZE_DB, LEAST_FREEZE_FRAMES } from './find-freezes.js';
import { at, type Run } from './frames-in-runs.js';
import type { TemporalColumn } from './temporal-columns.js';

type Columns = StudyColumns<TemporalColumn>;

/**
 * Mean change of frames that move, and how much less a repeated one changes than they do. Common practice, no
 * source.
 */
const MOVING = 0.002;
const REPEATED = 1 / 8;
/** And no more than a still picture changes. */
const STILL = 10 ** (FREEZE_DB / 20);
/** Least change of the cells in movement that is even enough to miss a step in. */
const STEADY = 0.003;
/**
 * Regular repeats, this many in a row and no further apart, are a cadence: a converted rate.
 */
const LEAST_REGULAR = 5;
const WIDEST_REGULAR = 60;

export interface RegularRepeats extends Run {
  /** Mean number of frames from one repeat to the next. */
  readonly every: number;
}

export interface Repeats {
  /** Frames that repeat the previous one, with motion before and after. */
  readonly single: readonly Run[];
  /** Sections in which frames repeat regularly. */
  readonly regular: readonly RegularRepeats[];
  readonly regularFrames: number;
  /** Frames before which a step of the motion is missing. */
  readonly missing: readonly number[];
}

/**
 * @param cuts first frames of shots: what moves there is not the picture. @param freezes repeats in them are
 * reported as freezes.
 */
export function findRepeats(columns: Columns, cuts: readonly number[], freezes: readonly Run[]): Repeats {
  const cutSet = new Set(cuts);
  const frozen = new Uint8Array(columns.changeMean.length);
  for (const { from, to } of freezes) frozen.fill(1, from, to);
  const runs = repeatedRuns(columns, cutSet).filter(({ from }) => frozen[from] === 0);
  const { single, regular, regularFrames } = sortRegular(runs);
  return { single, regular, regularFrames, missing: missingSteps(columns, cutSet, runs) };
}

function repeatedRuns({ changeMean }: Columns, cuts: ReadonlySet<number>): Run[] {
  const frames = changeMean.length;
  const moves = (frame: number): boolean => at(changeMean, frame) >= MOVING && !cuts.has(frame);
  const runs: Run[] = [];
  let from = 1;
  while (from < frames) {
    // The changes of the run are compared with the motion beside it, within the shot.
    const before = moves(from - 1) ? at(changeMean, from - 1) : Number.NaN;
    let to = from;
    let most = 0;
    const limit = Number.isNaN(before) ? STILL : Math.min(before * REPEATED, STILL);
    while (to < frames && !cuts.has(to) && at(changeMean, to) <= limit) {
      most = Math.max(most, at(changeMean, to));
      to++;
    }
    if (to === from) {
      from++;
      continue;
    }
    const after = moves(to) ? at(changeMean, to) : Number.NaN;
    const fits = Number.isNaN(after) || most <= after * REPEATED;
    // Beside a cut or an end of the file movement is known on one side only: it must go on there, and one
    // frame is all that is believed, since shots begin and end with stills too.
    const oneSided =
      to - from === 1 &&
      ((!Number.isNaN(before) && (cuts.has(to) || to === frames) && moves(from - 2)) ||
        (!Number.isNaN(after) && (cuts.has(from - 1) || from === 1) && moves(to + 1)));
    const known = oneSided || !(Number.isNaN(before) || Number.isNaN(after));
    if (fits && known && to - from < LEAST_FREEZE_FRAMES - 1) runs.push({ from, to });
    from = to;
  }
  return runs;
}

/** Runs whose distances repeat, singly or in pairs (as in 2:3), are regular. */
function sortRegular(runs: readonly Run[]): Omit<Repeats, 'missing'> {
  const gap = (i: number): number => (runs[i + 1]?.from ?? Number.NaN) - (runs[i]?.from ?? Number.NaN);
  const single: Run[] = [];
  const regular: RegularRepeats[] = [];
  let regularFrames = 0;
  for (let i = 0; i < runs.length; ) {
    let last = i;
    if (gap(i) <= WIDEST_REGULAR && gap(i + 1) <= WIDEST_REGULAR) {
      last = i + 2;
      while (gap(last) === gap(last - 2)) last++;
    }
    const inStep = runs.slice(i, last + 1);
    const [head, tail] = [inStep[0], inStep.at(-1)];
    if (head === undefined || tail === undefined) break;
    if (inStep.length >= LEAST_REGULAR) {
      const every = (tail.from - head.from) / (inStep.length - 1);
      regular.push({ from: head.from, to: tail.to, every });
      regularFrames += inStep.reduce((sum, { from, to }) => sum + to - from, 0);
      i = last + 1;
    } else {
      single.push(head);
      i++;
    }
  }
  return { single, regular, regularFrames };
}

/**
 * Frames before which the motion is twice the usual step: the change is about twice the even change around
 * it, and as large as the change over two frames there.
 */
function missingSteps(
  { cellChange1, cellChange2, changeMean, changeSpread }: Columns,
  cuts: ReadonlySet<number>,
  repeats: readonly Run[],
): number[] {
  const repeated = new Set(
    repeats.flatMap(({ from, to }) => Array.from({ length: to - from }, (_, i) => from + i)),
  );
  const isStep = (frame: number): boolean =>
    at(cellChange1, frame) >= MOVING && !cuts.has(frame) && !repeated.has(frame);
  const found: number[] = [];
  for (let frame = 3; frame < cellChange1.length; frame++) {
    if (!isStep(frame)) continue;
    const before = [frame - 1, frame - 2, frame - 3].filter(isStep).slice(0, 2);
    const after = [frame + 1, frame + 2, frame + 3].filter(isStep).slice(0, 2);
    if (before.length < 2 || after.length < 2) continue;
    const steps = [...before, ...after].map((n) => at(cellChange1, n));
    const least = Math.min(...steps);
    const most = Math.max(...steps);
    const step = mean(steps);
    const here = at(cellChange1, frame) / step;
    if (most > 1.4 * least || step < STEADY || here < 1.7 || here > 2.4) continue;
    if (at(changeMean, frame) < 1.3 * mean([...before, ...after].map((n) => at(changeMean, n)))) continue;
    // The same things move, only further: not a title that comes on.
    const spread = at(changeSpread, frame) / mean([...before, ...after].map((n) => at(changeSpread, n)));
    if (spread < 0.7 || spread > 1.4) continue;
    const doubles = [frame - 1, frame + 2]
      .filter((n) => isStep(n) && isStep(n - 1))
      .map((n) => at(cellChange2, n));
    if (doubles.length === 0) continue;
    const double = mean(doubles);
    // Over this frame and a neighbour the picture moves by three steps. A key frame that is redrawn does not
    // add up so.
    const triples = [frame, frame + 1]
      .filter((n) => isStep(n) && isStep(n - 1))
      .map((n) => at(cellChange2, n));
    if (triples.some((triple) => triple < 1.3 * double || triple > 1.75 * double)) continue;
    const ratio = at(cellChange1, frame) / double;
    if (ratio >= 0.75 && ratio <= 1.3) found.push(frame);
  }
  return found;
}

function mean(values: readonly number[]): number {
  return values.reduce((a, b) => a + b, 0) / values.length;
}
