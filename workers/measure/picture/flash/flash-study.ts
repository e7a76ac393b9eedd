import type { Rational } from '../../../../signal/rational.js';
import { type CellGrid, cellGrid, type FrameFeatures } from '../kernel/frame-features.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import type { FrameStudy } from '../recording/frame-study.js';
import { CellLight } from './cell-light.js';
import { ChangeCounter, noChanges } from './change-counter.js';
import { CutArea, luminanceCuts, redCuts } from './cut-area.js';
import { type FlashDisplay, flashDisplay, isJudged, type NotJudged } from './display-model.js';
import { type FineAreas, FineChanges } from './fine-changes.js';
import { secondFrames } from './rules.js';
import { LuminanceSwings, RedSwings, type Swings } from './swings.js';

/**
 * `flashUp`, `flashDown`: part of the screen that became brighter, and darker, by a whole change of the
 * rule in this frame, in whole cells. `flashArea`, `flashNet`, `flashPair`: see StepChanges, as little as
 * they can be, and `...Most` as much as they can be. `flashChanges`: most changes that one and the same
 * quarter of the screen made in the second that ends here, each place at its own times. `red...`: the same
 * of transitions to or from a saturated red. `flashCut`, `redCut`: see CutArea; `flashMotion`: sum of the
 * changes of all codes; `redMotion`: mean change of red (codes of G' do not show it). `fineDetail`,
 * `fineLight`: see CellLight; `fineChanged`, `fineTurned`: see FineAreas.
 */
export const FLASH_COLUMNS = [
  'flashUp',
  'flashDown',
  'flashArea',
  'flashNet',
  'flashPair',
  'flashAreaMost',
  'flashNetMost',
  'flashPairMost',
  'flashChanges',
  'redUp',
  'redDown',
  'redArea',
  'redNet',
  'redPair',
  'redAreaMost',
  'redNetMost',
  'redPairMost',
  'redChanges',
  'flashCut',
  'redCut',
  'flashMotion',
  'redMotion',
  'fineDetail',
  'fineLight',
  'fineChanged',
  'fineTurned',
] as const;
export type FlashColumn = (typeof FLASH_COLUMNS)[number];

/** What the screening needs to know about the picture. */
export interface FlashScreening {
  readonly display: FlashDisplay;
  readonly grid: CellGrid;
  readonly rate: Rational;
  readonly secondFrames: number;
}

/** Higher rates are not used in television, and a second of them needs too much memory. */
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
  readonly #generalCut: CutArea;
  readonly #redCut: CutArea;
  readonly #fine: FineChanges;
  readonly #generalNow = noChanges();
  readonly #redNow = noChanges();
  readonly #fineNow: FineAreas = { changed: 0, turned: 0, motion: 0 };

  constructor(plan: PicturePlan, { display, grid, secondFrames: second }: FlashScreening) {
    const light = new CellLight(plan, display, grid);
    const counter = (figure: Float64Array, makeSwings: () => Swings) =>
      new ChangeCounter(figure, light.pixels, grid, second, makeSwings);
    this.#light = light;
    this.memory = ChangeCounter.memory(second);
    this.#general = counter(light.luminance, () => new LuminanceSwings(light.luminance, display.isChange));
    this.#red = counter(light.red, () => new RedSwings(light.red, light.saturated));
    this.#generalCut = new CutArea(luminanceCuts(light.luminance, display.isChange), light.pixels);
    this.#redCut = new CutArea(redCuts(light.red, light.saturated), light.pixels);
    this.#fine = new FineChanges(plan, display, light.pixels);
  }

  observe(features: FrameFeatures): Readonly<Record<FlashColumn, number>> {
    const { frame, change } = features;
    this.#light.observe(features);
    this.#generalCut.observe();
    this.#redCut.observe();
    this.#fine.observe(features, this.#fineNow);
    const general = this.#generalNow;
    const red = this.#redNow;
    const { motion } = this.#fineNow;
    this.#general.observe(frame, change, motion, general);
    this.#red.observe(frame, change, motion, red);
    return {
      flashUp: general.up,
      flashDown: general.down,
      flashArea: general.least.area,
      flashNet: general.least.net,
      flashPair: general.least.pair,
      flashAreaMost: general.most.area,
      flashNetMost: general.most.net,
      flashPairMost: general.most.pair,
      flashChanges: general.anyTime,
      redUp: red.up,
      redDown: red.down,
      redArea: red.least.area,
      redNet: red.least.net,
      redPair: red.least.pair,
      redAreaMost: red.most.area,
      redNetMost: red.most.net,
      redPairMost: red.most.pair,
      redChanges: red.anyTime,
      flashCut: this.#generalCut.area,
      redCut: this.#redCut.area,
      flashMotion: motion,
      redMotion: this.#redCut.motion,
      fineDetail: this.#light.fineDetail,
      fineLight: this.#light.fineLight,
      fineChanged: this.#fineNow.changed,
      fineTurned: this.#fineNow.turned,
    };
  }
}
