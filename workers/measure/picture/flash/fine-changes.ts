import type { CellChange, FrameFeatures } from '../kernel/frame-features.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import { CELLS_AT_ONCE } from './cell-means.js';
import type { FlashDisplay } from './display-model.js';
import { greyOfCode } from './grey-light.js';
import { LEAST_CHANGE_NITS } from './rules.js';

/** Of one frame; areas are parts of the screen. */
export interface FineAreas {
  /**
   * Where detail changes by a whole change and the cell's mean hides more than half of it: the detail moves,
   * or turns into its opposite.
   */
  changed: number;
  /**
   * The part of that in which every pixel changes about as much as any of the picture does: detail in motion
   * does not.
   */
  turned: number;
  /** Sum of the changes of all codes, wherever. */
  motion: number;
}

/** Share of the change of a cell's pixels that its mean may show. */
const SHOWN = 0.5;
/** Mean change of a pixel, against the largest of the picture. Two states drawn by chance come to a half. */
const TURNED = 2 / 3;

/**
 * Changes of detail finer than a cell, which leave its mean as it was: a check whose light and dark squares
 * change places. By Y' alone (G' of RGB pictures), as if of grey.
 */
export class FineChanges {
  readonly #light: Float64Array;
  readonly #pixels: Uint32Array;
  readonly #isChange: FlashDisplay['isChange'];
  readonly #screen: number;
  /** Smallest change of code that can be one of light. */
  readonly #leastCodes: number;
  readonly #before: Uint32Array;

  constructor(plan: PicturePlan, display: FlashDisplay, pixels: Uint32Array) {
    this.#light = greyOfCode(plan, display);
    this.#pixels = pixels;
    this.#isChange = display.isChange;
    this.#screen = pixels.reduce((sum, of) => sum + of, 0);
    this.#leastCodes = leastCodes(this.#light);
    this.#before = new Uint32Array(pixels.length);
  }

  observe({ cells, change }: FrameFeatures, into: FineAreas): void {
    into.changed = 0;
    into.turned = 0;
    into.motion = 0;
    const sums = cells.sums[0];
    if (sums === undefined) return;
    for (let from = 0; change !== null && from < sums.length; from += CELLS_AT_ONCE) {
      this.#add(sums, change, from, Math.min(from + CELLS_AT_ONCE, sums.length), into);
    }
    into.changed /= this.#screen;
    into.turned /= this.#screen;
    this.#before.set(sums);
  }

  #add(sums: Uint32Array, change: CellChange, from: number, to: number, into: FineAreas): void {
    const { even, odd, most } = change;
    let motion = 0;
    for (let cell = from; cell < to; cell++) {
      const codes = (even[cell] ?? 0) + (odd[cell] ?? 0);
      motion += codes;
      const size = this.#pixels[cell] ?? 1;
      if (codes < this.#leastCodes * size) continue;
      if (!this.#isHidden(codes, sums[cell] ?? 0, this.#before[cell] ?? 0, size)) continue;
      into.changed += size;
      if (codes >= TURNED * most * size) into.turned += size;
    }
    into.motion += motion;
  }

  #isHidden(codes: number, now: number, before: number, size: number): boolean {
    if (Math.abs(now - before) > SHOWN * codes) return false;
    const middle = (now + before) / 2;
    const light = (sum: number): number => this.#light[Math.round(Math.max(sum, 0) / size)] ?? 0;
    const top = (this.#light.length - 1) * size;
    return this.#isChange(light(middle - codes / 2), light(Math.min(middle + codes / 2, top)));
  }
}

/** The fewest codes between two greys that lie a change apart; Infinity where no two do. */
function leastCodes(light: Float64Array): number {
  let least = Number.POSITIVE_INFINITY;
  let dark = 0;
  for (let bright = 0; bright < light.length; bright++) {
    const reached = (light[bright] ?? 0) - LEAST_CHANGE_NITS;
    while ((light[dark + 1] ?? Number.POSITIVE_INFINITY) <= reached) dark++;
    if ((light[dark] ?? 0) <= reached) least = Math.min(least, bright - dark);
  }
  return least;
}
