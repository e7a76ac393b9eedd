import {
  FLASH_CAUTION,
  FLASH_LIMITS,
  FLASH_STANDARD,
  type Flashes,
  type FlashKind,
} from '../../../../jobs/measurement/measured-flashes.js';
import type { FrameRange, Measurement } from '../../../../jobs/measurement/measurement.js';
import type { Rational } from '../../../../signal/rational.js';
import { type FrameClock, runsOf } from '../../figures/frame-ranges.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import type { StudyColumns } from '../recording/frame-study.js';
import { changesPerSecond, type ScreenChanges, turnsPerSecond } from './flash-counts.js';
import {
  FLASH_COLUMNS,
  type FlashColumn,
  type FlashScreening,
  flashScreening,
  isScreened,
} from './flash-study.js';
import {
  HARMFUL_AREA,
  LEAST_CHANGE_NITS,
  MOST_CHANGES,
  SATURATED_RED_TEXT,
  SUSTAINED_SECONDS,
} from './rules.js';

/**
 * Fine detail that flashes by 20 cd/m2 over a quarter of the screen moves the mean of the picture by 5 cd/m2. When the cells see less
 * than half of that, what they miss turns by this much.
 */
const HIDDEN_CHANGE_NITS = (LEAST_CHANGE_NITS * HARMFUL_AREA) / 2;

export interface FlashFigures {
  /** Null where the picture is not judged; `unmeasured` then says why. */
  readonly flashes: Flashes | null;
  readonly events: Measurement['events'];
  readonly unmeasured: Measurement['unmeasured'];
}

/**
 * The result of the screening, without a verdict, and its events. Pure.
 * @param columns of all frames of the file, as FlashStudy made them of this plan and rate; null where there are none
 */
export function flashFigures(
  plan: PicturePlan,
  rate: Rational | null,
  columns: StudyColumns<string> | null,
  clock: FrameClock,
): FlashFigures {
  const screening = flashScreening(plan, rate);
  if (!isScreened(screening)) return notScreened(screening.notJudged);
  const column = (name: FlashColumn): Float64Array => columns?.[name] ?? new Float64Array(0);
  const frames = column('flashUp').length;
  if (frames === 0 || FLASH_COLUMNS.some((name) => column(name).length !== frames)) {
    return notScreened('no picture was screened');
  }
  const pixels = plan.geometry.width * plan.geometry.height;
  const { display, grid, secondFrames: second } = screening;
  const general: ScreenChanges = {
    up: column('flashUp'),
    down: column('flashDown'),
    most: column('flashChanges'),
  };
  const red: ScreenChanges = { up: column('redUp'), down: column('redDown'), most: column('redChanges') };
  const generalChanges = changesPerSecond(general, second, pixels);
  const redChanges = changesPerSecond(red, second, pixels);
  const hidden = turnsPerSecond(column('fineDetail'), HIDDEN_CHANGE_NITS, second);

  const flashes: Flashes = {
    standard: FLASH_STANDARD,
    model: {
      signal: display.signal,
      display: display.display,
      peak: display.peak,
      cell: grid.size,
      secondFrames: second,
      saturatedRed: SATURATED_RED_TEXT,
    },
    general: kindFigures(general, generalChanges, second, clock),
    red: kindFigures(red, redChanges, second, clock),
    sustained: sustained(
      generalChanges.map((changes, frame) => Math.max(changes, redChanges[frame] ?? 0)),
      screening,
      (frame) => happensIn(general)(frame) || happensIn(red)(frame),
      clock,
    ),
    fineDetail: secondsOver(hidden, second, () => true, clock),
    notScreened: [...FLASH_LIMITS],
    caution: FLASH_CAUTION,
  };
  const events = [...eventsOf('flash', flashes.general), ...eventsOf('red-flash', flashes.red)];
  return { flashes, events, unmeasured: [] };
}

function notScreened(why: string): FlashFigures {
  return { flashes: null, events: [], unmeasured: [{ what: 'flashes', why }] };
}

function kindFigures(
  changes: ScreenChanges,
  perSecond: Float64Array,
  second: number,
  clock: FrameClock,
): FlashKind {
  const worst = perSecond.reduce((best, now, frame) => (now > (perSecond[best] ?? 0) ? frame : best), 0);
  const most = perSecond[worst] ?? 0;
  const happens = happensIn(changes);
  const { from, to } = trimmed({ from: worst - second + 1, to: worst + 1 }, happens);
  let area = 0;
  for (let frame = from; frame < to; frame++) {
    area = Math.max(area, changes.up[frame] ?? 0, changes.down[frame] ?? 0);
  }
  return {
    worstSecond: most === 0 ? null : { flashes: most / 2, area, ...clock.range(from, to) },
    ranges: secondsOver(perSecond, second, happens, clock),
  };
}

/** All frames that lie in a second with too many changes, each second from its first change to its last. */
function secondsOver(
  perSecond: Float64Array,
  second: number,
  happens: FrameTest,
  clock: FrameClock,
): FrameRange[] {
  const inside = new Uint8Array(perSecond.length);
  for (const [frame, changes] of perSecond.entries()) {
    if (changes <= MOST_CHANGES) continue;
    const { from, to } = trimmed({ from: frame - second + 1, to: frame + 1 }, happens);
    inside.fill(1, from, to);
  }
  return runsOf(inside.length, (frame) => inside[frame] === 1).map(({ from, to }) => clock.range(from, to));
}

/** Sequences in which there was a whole flash in every second, from the end of the first flash to the end of the last. */
function sustained(
  perSecond: Float64Array,
  { rate }: FlashScreening,
  happens: FrameTest,
  clock: FrameClock,
): FrameRange[] {
  return runsOf(perSecond.length, (frame) => (perSecond[frame] ?? 0) >= 2)
    .map((run) => trimmed(run, happens))
    .filter(({ from, to }) => (to - from) * rate.den > SUSTAINED_SECONDS * rate.num)
    .map(({ from, to }) => clock.range(from, to));
}

type FrameTest = (frame: number) => boolean;

function happensIn({ up, down }: ScreenChanges): FrameTest {
  return (frame) => (up[frame] ?? 0) > 0 || (down[frame] ?? 0) > 0;
}

/** Without the frames at either end in which nothing happens; never empty. */
function trimmed(run: { from: number; to: number }, happens: FrameTest): { from: number; to: number } {
  let from = Math.max(run.from, 0);
  let { to } = run;
  while (from + 1 < to && !happens(from)) from++;
  while (from + 1 < to && !happens(to - 1)) to--;
  return { from, to };
}

function eventsOf(kind: 'flash' | 'red-flash', { worstSecond, ranges }: FlashKind): Measurement['events'] {
  const what = kind === 'flash' ? 'flashes' : 'flashes to or from a saturated red';
  const most = worstSecond === null ? '' : `; up to ${worstSecond.flashes} in the worst second of the file`;
  return ranges.map((range) => ({
    ...range,
    kind,
    detail: `more than three ${what} in a second over more than a quarter of the screen${most}. ${FLASH_CAUTION}`,
  }));
}
