import type { Rational } from '../../../../signal/rational.js';
import { type CellGrid, cellGrid, type FrameFeatures } from '../kernel/frame-features.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import type { FrameStudy } from '../recording/frame-study.js';
import { CellLight } from './cell-light.js';
import { ChangeCounter, type FrameChanges } from './change-counter.js';
import { type FlashDisplay, flashDisplay, isJudged, type NotJudged } from './display-model.js';
import { secondFrames } from './rules.js';
import { LuminanceSwings, RedSwings } from './swings.js';

/**
 * `flashUp`, `flashDown`: part of the screen that became brighter, and darker, by a whole change of the rule in this frame.
 * `flashChanges`: most changes that one and the same quarter of the screen (more than it) made in the second that ends here.
 * `red...`: the same of transitions to or from a saturated red. `fineDetail`: see CellLight.
 */
export const FLASH_COLUMNS = [
  'flashUp',
  'flashDown',
  'flashChanges',
  'redUp',
  'redDown',
  'redChanges',
  'fineDetail',
] as const;
export type FlashColumn = (typeof FLASH_COLUMNS)[number];

/** What the screening of a picture needs to know of it beforehand. */
export interface FlashScreening {
  readonly display: FlashDisplay;
  readonly grid: CellGrid;
  readonly rate: Rational;
  readonly secondFrames: number;
}

/** Rates above this are no television, and a second of them is too long to remember. */
const MOST_RATE = 300;

/** @param rate frames a second; null where it is unknown. */
export function flashScreening(plan: PicturePlan, rate: Rational | null): FlashScreening | NotJudged {
  if (rate === null || rate.num <= 0) {
    return { notJudged: 'the frame rate is unknown, so that seconds cannot be counted' };
  }
  if (rate.num > MOST_RATE * rate.den) return { notJudged: `more than ${MOST_RATE} frames a second` };
  const display = flashDisplay(plan);
  if (!isJudged(display)) return display;
  const { width, height } = plan.geometry;
  return { display, grid: cellGrid(width, height), rate, secondFrames: secondFrames(rate) };
}

export function isScreened(screening: FlashScreening | NotJudged): screening is FlashScreening {
  return !('notJudged' in screening);
}

/** The study of a picture, or null where there is nothing to judge (flashFigures says why). */
export function flashStudy(plan: PicturePlan, rate: Rational | null): FlashStudy | null {
  const screening = flashScreening(plan, rate);
  return isScreened(screening) ? new FlashStudy(plan, screening) : null;
}

export class FlashStudy implements FrameStudy<FlashColumn> {
  readonly columns = FLASH_COLUMNS;
  readonly memory: number;
  readonly #light: CellLight;
  readonly #general: ChangeCounter;
  readonly #red: ChangeCounter;
  readonly #generalNow: FrameChanges = { up: 0, down: 0, most: 0 };
  readonly #redNow: FrameChanges = { up: 0, down: 0, most: 0 };

  constructor(plan: PicturePlan, { display, grid, secondFrames: second }: FlashScreening) {
    const light = new CellLight(plan, display, grid);
    this.#light = light;
    this.memory = ChangeCounter.memory(second);
    this.#general = new ChangeCounter(
      light.pixels,
      second,
      () => new LuminanceSwings(light.luminance, display.isChange),
    );
    this.#red = new ChangeCounter(light.pixels, second, () => new RedSwings(light.red, light.saturated));
  }

  observe(features: FrameFeatures): Readonly<Record<FlashColumn, number>> {
    this.#light.observe(features);
    this.#general.observe(features.frame, this.#generalNow);
    this.#red.observe(features.frame, this.#redNow);
    return {
      flashUp: this.#generalNow.up,
      flashDown: this.#generalNow.down,
      flashChanges: this.#generalNow.most,
      redUp: this.#redNow.up,
      redDown: this.#redNow.down,
      redChanges: this.#redNow.most,
      fineDetail: this.#light.fineDetail,
    };
  }
}
