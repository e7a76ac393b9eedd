import { type CadenceName, REPEATS_ONE_IN } from '../../../../jobs/measurement/measured-fields.js';
import type { Step } from './field-evidence.js';
import { likelyPath, runsOfStates } from './likely-path.js';

export interface CadenceSegment {
  readonly name: CadenceName;
  readonly from: number;
  readonly to: number;
}

export interface MeasuredCadence {
  readonly name: CadenceName | null;
  readonly confidence: 'high' | 'low';
  readonly segments: readonly CadenceSegment[];
  /** Frames at which the cadence of the previous segment restarts with another phase. */
  readonly breaks: readonly number[];
  /** Frames that, by the cadence, consist of fields, with the field that comes first. */
  readonly fieldOrder: ReadonlyMap<number, 'top' | 'bottom'>;
}

interface Cadence {
  readonly name: CadenceName;
  readonly period: Steps;
  readonly first?: 'top' | 'bottom';
}
type Steps = readonly Exclude<Step, null>[];
const m = 'moves' as const;
const w = 'whole' as const;

/**
 * How each frame of a period follows the previous one. Fields are named by picture, top field first: 2:3 is
 * AA BB BC CD DD, so the even lines repeat in BC and the odd ones in the second DD; 2:3:3:2 is AA BB BC CC
 * DD. With the bottom field first even and odd change places. (From the definition; the name of the pattern
 * counts fields a picture.)
 */
const CADENCES: readonly Cadence[] = [
  { name: '2:3', period: [m, m, 'even', 'shifted', 'odd'], first: 'top' },
  { name: '2:3', period: [m, m, 'odd', 'shifted', 'even'], first: 'bottom' },
  { name: '2:3:3:2', period: [m, m, 'even', 'odd', m], first: 'top' },
  { name: '2:3:3:2', period: [m, m, 'odd', 'even', m], first: 'bottom' },
  { name: '2:2-shifted', period: ['shifted'] },
  { name: 'repeat-2:3', period: [m, w, m, w, w] },
  { name: 'repeat-2:2', period: [m, w] },
  ...REPEATS_ONE_IN.map((frames) => ({
    name: `repeat-1-in-${frames}` as const,
    period: repeatOneIn(frames),
  })),
];

function repeatOneIn(frames: number): Steps {
  return [...Array.from({ length: frames - 1 }, () => m), w] as const;
}

/** One state for each cadence and place of its period at frame 0, and the first for none. */
const NONE: Cadence & { readonly phase: number } = { name: 'none', period: [m], phase: 0 };
const STATES = [
  NONE,
  ...CADENCES.flatMap((cadence) => cadence.period.map((_, phase) => ({ ...cadence, phase }))),
];

/** Cadences with so many repeated frames that no other can be mistaken for them. */
const OFTEN_REPEATED: readonly CadenceName[] = ['repeat-2:2', 'repeat-2:3'];

/**
 * Two changes cost more than four frames that do not fit: fewer are faults of single frames, not another
 * cadence.
 */
const CHANGE_COST = 2;
/** Least number of repeats where the cadence has them, and of periods. */
const LEAST_REPEATS = 4;
const LEAST_PERIODS = 2;
/** Fraction of its frames that may not fit. */
const MOST_FAULTS = 0.15;
/**
 * Fraction of its repeats that must be present: half of the repeats of 1-in-5 would be all those of 1-in-10.
 */
const LEAST_KEPT = 0.7;
/** Fraction of frames that may repeat irregularly at high confidence. */
const MOST_STRANGE = 0.05;
/** Least number of frames with a known step. */
const LEAST_STEPS = 8;

export function measuredCadence(steps: readonly Step[]): MeasuredCadence {
  if (seenIn(steps, { from: 0, to: steps.length }) < LEAST_STEPS) {
    return { name: null, confidence: 'low', segments: [], breaks: [], fieldOrder: new Map() };
  }
  const cost = (frame: number, state: number): number => {
    const step = steps[frame] ?? null;
    if (step === null) return 0;
    const wanted = expected(frame, state);
    const { name, period } = STATES[state] ?? NONE;
    // Whether a frame between two repeated fields shows its shift depends on the motion: either will do.
    if (wanted === 'shifted' && period.length > 1 && step === m) return 0;
    // Lines a whole number thick can move in one field alone; where whole frames repeat that is motion like
    // any other.
    if (wanted === m && OFTEN_REPEATED.includes(name) && step !== 'whole') return 0;
    return step === wanted ? 0 : 1;
  };
  const runs = runsOfStates(likelyPath(steps.length, STATES.length, CHANGE_COST, cost)).map((run) => {
    const cadence = STATES[run.state] ?? NONE;
    const repeats = repeatsIn(steps, run);
    let faults = 0;
    for (let frame = run.from; frame < run.to; frame++) faults += cost(frame, run.state);
    const believed =
      repeats.length >= LEAST_REPEATS &&
      repeats.length >= LEAST_KEPT * expectedRepeats(steps, run) &&
      faults <= MOST_FAULTS * seenIn(steps, run) &&
      run.to - run.from >= LEAST_PERIODS * cadence.period.length;
    return { ...run, cadence: believed ? cadence : NONE, repeats };
  });
  const fieldOrder = new Map<number, 'top' | 'bottom'>();
  for (const { cadence, repeats } of runs) {
    const { first } = cadence;
    if (first !== undefined) for (const frame of repeats) fieldOrder.set(frame, first);
  }
  return { ...summary(runs, steps), fieldOrder };
}

function seenIn(
  steps: readonly Step[],
  { from, to }: { readonly from: number; readonly to: number },
): number {
  return steps.slice(from, to).filter((step) => step !== null).length;
}

function expected(frame: number, state: number): Step {
  const { period, phase } = STATES[state] ?? NONE;
  return period[(frame + phase) % period.length] ?? m;
}

/** Frames of a run that its cadence expects to repeat, where their step is known. */
function expectedRepeats(
  steps: readonly Step[],
  { state, from, to }: { readonly state: number; readonly from: number; readonly to: number },
): number {
  let wanted = 0;
  for (let frame = from; frame < to; frame++) {
    const step = expected(frame, state);
    // Between two repeated fields a frame may be without a shift.
    const mayMove = step === 'shifted' && (STATES[state] ?? NONE).period.length > 1;
    if (steps[frame] !== null && step !== m && !mayMove) wanted++;
  }
  return wanted;
}

/** Frames of a run that repeat as the cadence expects. */
function repeatsIn(
  steps: readonly Step[],
  { state, from, to }: { readonly state: number; readonly from: number; readonly to: number },
): number[] {
  const frames: number[] = [];
  for (let frame = from; frame < to; frame++) {
    if (steps[frame] !== m && steps[frame] === expected(frame, state)) frames.push(frame);
  }
  return frames;
}

function summary(
  runs: readonly { readonly cadence: Cadence; readonly from: number; readonly to: number }[],
  steps: readonly Step[],
): Omit<MeasuredCadence, 'fieldOrder'> {
  const segments: { name: CadenceName; from: number; to: number }[] = [];
  const breaks: number[] = [];
  for (const { cadence, from, to } of runs) {
    const last = segments.at(-1);
    if (last?.name === cadence.name) {
      last.to = to;
      if (cadence.name !== 'none') breaks.push(from);
    } else segments.push({ name: cadence.name, from, to });
  }
  const seen = new Map<CadenceName, number>();
  for (const segment of segments) {
    seen.set(segment.name, (seen.get(segment.name) ?? 0) + seenIn(steps, segment));
  }
  const [most] = [...seen].sort((a, b) => b[1] - a[1]);
  const without = segments
    .filter(({ name }) => name === 'none')
    .flatMap(({ from, to }) => steps.slice(from, to));
  // Fields or frames that repeat irregularly: there is something, but none of the cadences.
  const strange = without.filter((step) => step !== null && step !== m).length;
  const sure =
    most !== undefined &&
    most[1] >= 2 * LEAST_STEPS &&
    strange <= (most[0] === 'none' ? MOST_STRANGE : MOST_FAULTS) * most[1];
  return { name: most?.[0] ?? null, confidence: sure ? 'high' : 'low', segments, breaks };
}
