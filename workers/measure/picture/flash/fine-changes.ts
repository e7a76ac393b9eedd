import type { CellChange, FrameFeatures } from '../kernel/frame-features.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import { CELLS_AT_ONCE } from './cell-means.js';
import type { FlashDisplay } from './display-model.js';
import { greyOfCode } from './grey-light.js';
import { LEAST_CHANGE_NITS } from './rules.js';

/** Of one frame; areas are parts of the screen. */
export interface FineAreas {
  /**
   * Where detail changes by a full change and the mean of the cell hides more than half of it: it moves or
   * inverts.
   */
  changed: number;
  /**
   * The part of that in which every pixel changes about as much as the largest change of the picture; moving
   * detail does not.
   */
  turned: number;
  /** Sum of the changes of all codes, wherever. */
  motion: number;
}

/** Fraction of the change of the pixels of a cell that its mean may show. */
const SHOWN = 0.5;
/** Mean change of a pixel, relative to the largest of the picture. Two random states give a half. */
const TURNED = 2 / 3;

/**
 * Changes of detail finer than a cell, which do not change its mean: a checkerboard that inverts. By Y' alone
 * (G' of RGB pictures), as if of grey.
 */
export class FineChanges {
  readonly #light: Float64Array;
  readonly #pixels: Uint32Array;
  readonly #isChange: FlashDisplay['isChange'];
  readonly #screen: number;
  /** Smallest change of code that can be a full change of light. */
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

/** The fewest codes between two greys that differ by a full change; Infinity where none do. */
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
