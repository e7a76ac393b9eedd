import type { CellChange } from '../kernel/frame-features.js';
import { HARMFUL_AREA, MOST_MOTION, restFrames } from './rules.js';

/**
 * Between two changes of the same places, at most this fraction of their area may change elsewhere.
 */
const MOST_BETWEEN = 0.5;
/**
 * Changes in every frame leave no rest that would distinguish flicker from a moving pattern. A place that has
 * changed in this many consecutive frames, every pixel about as much as the largest change of the picture,
 * flickers: random levels do that at 17 % of all places (Euler's zigzag numbers: 2 x 61 of 720), and their
 * pixels hardly anywhere.
 */
const STEADY_CHANGES = 5;
const TURNED = 2 / 3;

/** Detects places that changed together and now change back together, and how long ago that was. */
export class OpposingChanges {
  readonly #screen: number;
  readonly #second: number;
  readonly #rest: number;
  /**
   * Number of the frame in which a cell changed last, from 1, and below 0 for a change downwards; 0: never.
   */
  readonly #lastChange: Int32Array;
  /** In how many consecutive frames a cell has changed. */
  readonly #running: Uint8Array;
  /** Pixels whose last change, the opposite of this frame's, was so many frames ago. */
  readonly #areaByAge: Float64Array;
  #steady = 0;
  /**
   * Of each frame of the last second: pixels of the cells that changed, and sum of the changes of all codes.
   */
  readonly #areas: Float64Array;
  readonly #motion: Float64Array;

  constructor(cells: number, screen: number, second: number) {
    this.#screen = screen;
    this.#second = second;
    this.#rest = restFrames(second);
    this.#lastChange = new Int32Array(cells);
    this.#running = new Uint8Array(cells);
    this.#areaByAge = new Float64Array(second);
    this.#areas = new Float64Array(second);
    this.#motion = new Float64Array(second);
  }

  /** Begins a frame. @param motion sum of the changes of all its codes */
  begin(frame: number, motion: number): void {
    this.#areaByAge.fill(0);
    this.#steady = 0;
    this.#areas[frame % this.#second] = 0;
    this.#motion[frame % this.#second] = motion;
  }

  /** A cell that changed in this frame. @param way UP or DOWN; @param size its pixels */
  add(frame: number, cell: number, way: number, size: number, change: CellChange | null): void {
    const slot = frame % this.#second;
    this.#areas[slot] = (this.#areas[slot] ?? 0) + size;
    const last = this.#lastChange[cell] ?? 0;
    this.#lastChange[cell] = way * (frame + 1);
    const age = frame + 1 - Math.abs(last);
    const opposes = last * way < 0 && age < this.#second;
    const runsOn = opposes && age === 1 && hasTurned(change, cell, size);
    this.#running[cell] = runsOn ? Math.min((this.#running[cell] ?? 0) + 1, STEADY_CHANGES) : 1;
    if (!opposes) return;
    this.#areaByAge[age] = (this.#areaByAge[age] ?? 0) + size;
    if (this.#running[cell] === STEADY_CHANGES) this.#steady += size;
  }

  /** Most pixels whose changes in this frame may have one answer. */
  get largest(): number {
    let largest = this.#steady;
    for (let age = this.#rest + 1; age < this.#second; age++) {
      largest = Math.max(largest, this.#areaByAge[age] ?? 0);
    }
    return largest;
  }

  /**
   * How many frames ago more than a quarter of the screen made, in one frame, the changes it takes back in
   * this one; 0: it did not, or the picture changed as much at all times in between.
   *
   * @param share of the cells' area that counts
   */
  pair(frame: number, share: number): number {
    const enough = HARMFUL_AREA * this.#screen;
    if (share * this.#steady > enough) return 1;
    for (let age = this.#rest + 1; age < this.#second; age++) {
      if (share * (this.#areaByAge[age] ?? 0) > enough && this.#restsBetween(frame - age, frame)) return age;
    }
    return 0;
  }

  #restsBetween(from: number, to: number): boolean {
    const atEither = (values: Float64Array): number =>
      Math.min(values[from % this.#second] ?? 0, values[to % this.#second] ?? 0);
    const mostArea = MOST_BETWEEN * atEither(this.#areas);
    const mostMotion = MOST_MOTION * atEither(this.#motion);
    for (let frame = from + 1; frame < to; frame++) {
      const slot = frame % this.#second;
      if ((this.#areas[slot] ?? 0) > mostArea || (this.#motion[slot] ?? 0) > mostMotion) return false;
    }
    return true;
  }
}

function hasTurned(change: CellChange | null, cell: number, size: number): boolean {
  if (change === null) return true;
  return (change.even[cell] ?? 0) + (change.odd[cell] ?? 0) >= TURNED * change.most * size;
}
