import { type ChangeRule, LEAST_CHANGE_NITS, LEAST_RED_CHANGE } from './rules.js';

/** What places of a figure make of one frame and the next. */
interface CutFigure {
  /** Of the cells in the frame at hand; its owner writes it anew for each frame. */
  readonly light: Float64Array;
  /** No smaller difference is a change, and most cells of most pictures are asked no more than that. */
  readonly least: number;
  isChange(cell: number, before: number, now: number): boolean;
  /** After each frame. */
  remember(): void;
}

/** @param luminance of the cells, cd/m2 */
export function luminanceCuts(luminance: Float64Array, isChange: ChangeRule): CutFigure {
  return {
    light: luminance,
    least: LEAST_CHANGE_NITS,
    isChange: (_, before, now) => (now > before ? isChange(before, now) : isChange(now, before)),
    remember: () => undefined,
  };
}

/** @param red, saturated of the cells: see CellLight */
export function redCuts(red: Float64Array, saturated: Uint8Array): CutFigure {
  const before = new Uint8Array(saturated.length);
  return {
    light: red,
    least: LEAST_RED_CHANGE,
    isChange: (cell) => saturated[cell] === 1 || before[cell] === 1,
    remember: () => before.set(saturated),
  };
}

/**
 * A place that goes on the same way by this part of its largest step, or more, is still on its way: light
 * that swells takes several frames, and it is one change. After a cut it rests, or moves by much less.
 */
const GOES_ON = 1 / 16;

/**
 * How much of the screen differs from the frame before by a whole change, whichever way each place goes: at a
 * cut between unlike shots some rise, some fall, and some go on the way they went before. A place counts once
 * on its way up or down: each whole change of a slow sine would otherwise be several cuts.
 */
export class CutArea {
  readonly #figure: CutFigure;
  readonly #before: Float64Array;
  readonly #pixels: Uint32Array;
  readonly #screen: number;
  /** Of each place: the largest step on its way, below 0 where it falls; 1 where a cut was counted on it. */
  readonly #step: Float64Array;
  readonly #counted: Uint8Array;
  #isFirst = true;
  /** The part of the screen, 0 to 1, in the frame at hand; 0 in the first. */
  area = 0;
  /** Mean change of the figure over the screen, of all cells, whether it is a whole change or not. */
  motion = 0;

  /** @param pixels of each cell */
  constructor(figure: CutFigure, pixels: Uint32Array) {
    this.#figure = figure;
    this.#before = new Float64Array(pixels.length);
    this.#pixels = pixels;
    this.#screen = pixels.reduce((sum, of) => sum + of, 0);
    this.#step = new Float64Array(pixels.length);
    this.#counted = new Uint8Array(pixels.length);
  }

  observe(): void {
    const { light, least } = this.#figure;
    let area = 0;
    let motion = 0;
    for (let cell = 0; !this.#isFirst && cell < light.length; cell++) {
      const now = light[cell] ?? 0;
      const before = this.#before[cell] ?? 0;
      const size = this.#pixels[cell] ?? 0;
      const change = Math.abs(now - before);
      motion += size * change;
      this.#follow(cell, now - before);
      if (change < least || this.#counted[cell] === 1) continue;
      if (!this.#figure.isChange(cell, before, now)) continue;
      this.#counted[cell] = 1;
      area += size;
    }
    this.#isFirst = false;
    this.#before.set(light);
    this.#figure.remember();
    this.area = area / this.#screen;
    this.motion = motion / this.#screen;
  }

  #follow(cell: number, change: number): void {
    const largest = this.#step[cell] ?? 0;
    const isOnItsWay = change * Math.sign(largest) >= GOES_ON * Math.abs(largest) && change !== 0;
    if (!isOnItsWay) this.#counted[cell] = 0;
    if (!isOnItsWay || Math.abs(change) > Math.abs(largest)) this.#step[cell] = change;
  }
}
