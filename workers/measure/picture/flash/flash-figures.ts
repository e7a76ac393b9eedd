import {
  FLASH_CAUTION,
  FLASH_LIMITS,
  FLASH_STANDARD,
  type Flashes,
  type FlashKind,
} from '../../../../jobs/measured-flashes.js';
import type { FrameRange, Measurement } from '../../../../jobs/measurement.js';
import { type FrameClock, runsOf } from '../../frame-ranges.js';
import type { StudyColumns } from '../frame-study.js';
import { changesPerSecond, type ScreenChanges, turnsPerSecond } from './flash-counts.js';
import type { FlashColumn, FlashScreening } from './flash-study.js';
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

/**
 * The verdict-free result of the screening, and the events in it. Pure; the columns are those of all frames of the file.
 * @param pixels of a frame
 */
export function flashFigures(
  columns: StudyColumns<FlashColumn>,
  screening: FlashScreening,
  pixels: number,
  clock: FrameClock,
): { readonly flashes: Flashes; readonly events: Measurement['events'] } {
  const { display, grid, secondFrames: second } = screening;
  const general: ScreenChanges = { up: columns.flashUp, down: columns.flashDown, most: columns.flashChanges };
  const red: ScreenChanges = { up: columns.redUp, down: columns.redDown, most: columns.redChanges };
  const generalChanges = changesPerSecond(general, second, pixels);
  const redChanges = changesPerSecond(red, second, pixels);
  const hidden = turnsPerSecond(columns.fineDetail, HIDDEN_CHANGE_NITS, second);

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
  return { flashes, events };
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
