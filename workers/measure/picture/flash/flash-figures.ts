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
import { firstUnderWay } from './first-change.js';
import {
  changesPerSecond,
  cutsPerSecond,
  fineChangesPerSecond,
  hiddenTurnsPerSecond,
  isBefore,
  type SecondChanges,
} from './flash-counts.js';
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
  restFrames,
  SATURATED_RED_TEXT,
  SUSTAINED_SECONDS,
} from './rules.js';

export interface FlashFigures {
  /** Null where the picture is not judged; `unmeasured` then says why. */
  readonly flashes: Flashes | null;
  readonly events: Measurement['events'];
  readonly unmeasured: Measurement['unmeasured'];
}

/**
 * The result of the screening, without a verdict, and its events. Pure.
 * @param columns of all frames of the file, as FlashStudy made them of this plan and rate; null where there
 * are none
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
  const { display, grid, secondFrames: second } = screening;
  const kind = (name: 'flash' | 'red'): KindChanges => {
    const [up, down] = [column(`${name}Up`), column(`${name}Down`)];
    const first = firstUnderWay(up, down, column('fineLight'), display.isChange);
    const pixels = plan.geometry.width * plan.geometry.height;
    const counted = (most: '' | 'Most'): SecondChanges => {
      const [area, net, pair] = [
        column(`${name}Area${most}`),
        column(`${name}Net${most}`),
        column(`${name}Pair${most}`),
      ];
      return changesPerSecond({ area, net, pair }, second, pixels, first);
    };
    return {
      happens: (frame) => (up[frame] ?? 0) + (down[frame] ?? 0) > 0,
      least: counted(''),
      most: counted('Most'),
      // Every quarter of the screen has part in a first change that was under way.
      anyTime: column(`${name}Changes`).map((changes, frame) =>
        isBefore(first, frame, second) ? changes - 1 : changes,
      ),
      cuts: cutsPerSecond({ area: column(`${name}Cut`), motion: column(`${name}Motion`) }, second),
    };
  };
  const general = kind('flash');
  const red = kind('red');
  const hidden = hiddenTurnsPerSecond(
    { light: column('fineLight'), hidden: column('fineDetail') },
    LEAST_CHANGE_NITS * HARMFUL_AREA,
    second,
  );
  const fine = fineChangesPerSecond(
    { changed: column('fineChanged'), turned: column('fineTurned') },
    restFrames(second),
    second,
  );

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
    general: kindFigures(general, second, clock),
    red: kindFigures(red, second, clock),
    sustained: sustained(
      general.least.changes.map((changes, frame) => Math.max(changes, red.least.changes[frame] ?? 0)),
      screening,
      (frame) => general.happens(frame) || red.happens(frame),
      clock,
    ),
    fineDetail: rangesOf(
      secondsOver(
        hidden.map((turns, frame) => Math.max(turns, fine[frame] ?? 0)),
        second,
        () => true,
      ),
      clock,
    ),
    notScreened: [...FLASH_LIMITS],
    caution: FLASH_CAUTION,
  };
  const events = [...eventsOf('flash', flashes.general), ...eventsOf('red-flash', flashes.red)];
  return { flashes, events, unmeasured: [] };
}

function notScreened(why: string): FlashFigures {
  return { flashes: null, events: [], unmeasured: [{ what: 'flashes', why }] };
}

/** Flashes of one kind, frame by frame. */
interface KindChanges {
  readonly happens: FrameTest;
  readonly least: SecondChanges;
  readonly most: SecondChanges;
  readonly anyTime: Float64Array;
  readonly cuts: Float64Array;
}

function kindFigures(
  { happens, least, most, anyTime, cuts }: KindChanges,
  second: number,
  clock: FrameClock,
): FlashKind {
  const sure = secondsOver(least.changes, second, happens);
  const near = without(secondsOver(most.changes, second, happens), sure);
  const changing = anyTime.map((changes, frame) => Math.max(changes, cuts[frame] ?? 0));
  const outOfStep = without(without(secondsOver(changing, second, happens), sure), near);
  return {
    worstSecond: worstSecond(least, most, second, happens, clock),
    ranges: rangesOf(sure, clock),
    nearLimit: rangesOf(near, clock),
    outOfStep: rangesOf(outOfStep, clock),
  };
}

function worstSecond(
  least: SecondChanges,
  most: SecondChanges,
  second: number,
  happens: FrameTest,
  clock: FrameClock,
): FlashKind['worstSecond'] {
  // Of seconds with equally many flashes the one that certainly has them, then the one that may have more.
  const isWorse = (frame: number, than: number): boolean => {
    const sure = (least.changes[frame] ?? 0) - (least.changes[than] ?? 0);
    return sure > 0 || (sure === 0 && (most.changes[frame] ?? 0) > (most.changes[than] ?? 0));
  };
  const worst = least.changes.reduce((best, _, frame) => (isWorse(frame, best) ? frame : best), 0);
  const changes = least.changes[worst] ?? 0;
  if (changes === 0 && (most.changes[worst] ?? 0) === 0) return null;
  const { from, to } = trimmed({ from: worst - second + 1, to: worst + 1 }, happens);
  const largest = (areas: Float64Array): number => Math.min(Math.max(...areas.subarray(from, to)), 1);
  return {
    flashes: changes / 2,
    area: largest(least.area),
    areaAtMost: largest(most.area),
    ...clock.range(from, to),
  };
}

/** All frames of seconds with too many changes, each second from its first change to its last. */
function secondsOver(perSecond: Float64Array, second: number, happens: FrameTest): Uint8Array {
  const inside = new Uint8Array(perSecond.length);
  for (const [frame, changes] of perSecond.entries()) {
    if (changes <= MOST_CHANGES) continue;
    const { from, to } = trimmed({ from: frame - second + 1, to: frame + 1 }, happens);
    inside.fill(1, from, to);
  }
  return inside;
}

/** The runs of `inside` that share no frame with `others`. */
function without(inside: Uint8Array, others: Uint8Array): Uint8Array {
  const left = new Uint8Array(inside.length);
  for (const { from, to } of runsOf(inside.length, (frame) => inside[frame] === 1)) {
    if (!others.subarray(from, to).includes(1)) left.fill(1, from, to);
  }
  return left;
}

function rangesOf(inside: Uint8Array, clock: FrameClock): FrameRange[] {
  return runsOf(inside.length, (frame) => inside[frame] === 1).map(({ from, to }) => clock.range(from, to));
}

/**
 * Sequences in which there was a whole flash in every second, from the end of the first flash to the end of
 * the last.
 */
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
