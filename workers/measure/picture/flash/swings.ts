import { CELLS_AT_ONCE } from './cell-means.js';
import { type ChangeRule, LEAST_CHANGE_NITS, LEAST_RED_CHANGE } from './rules.js';

/** Change of a cell in a frame: a completed change upwards, downwards, or none. */
export const UP = 1;
export const DOWN = -1;

/**
 * Tracks every cell from one extreme to the next, and says in which frame a change big enough to count is
 * complete.
 */
export interface Swings {
  /** Resets all cells. */
  restart(): void;
  /** Writes UP, DOWN or 0 for each cell. */
  observe(changes: Int8Array): void;
}

/**
 * Swings of luminance. A cell that has swung up is waiting for a way down from its highest since, and the
 * other way round. Which way a cell swung last depends only on the shortest run of frames up to now that
 * holds a swing at all, so that a tracker started later agrees with one started earlier as soon as it has
 * seen one swing.
 */
export class LuminanceSwings implements Swings {
  readonly #light: Float64Array;
  readonly #isChange: ChangeRule;
  readonly #direction: Int8Array;
  readonly #low: Float64Array;
  readonly #high: Float64Array;

  /** @param light of the cells in the frame at hand; its owner writes it anew for each frame. */
  constructor(light: Float64Array, isChange: ChangeRule) {
    this.#light = light;
    this.#isChange = isChange;
    this.#direction = new Int8Array(light.length);
    this.#low = new Float64Array(light.length);
    this.#high = new Float64Array(light.length);
    this.restart();
  }

  restart(): void {
    this.#direction.fill(0);
    this.#low.fill(Number.POSITIVE_INFINITY);
    this.#high.fill(Number.NEGATIVE_INFINITY);
  }

  observe(changes: Int8Array): void {
    changes.fill(0);
    const cells = this.#light.length;
    for (let from = 0; from < cells; from += CELLS_AT_ONCE) {
      this.#observeCells(changes, from, Math.min(from + CELLS_AT_ONCE, cells));
    }
  }

  #observeCells(changes: Int8Array, from: number, to: number): void {
    const light = this.#light;
    const direction = this.#direction;
    const lows = this.#low;
    const highs = this.#high;
    const isChange = this.#isChange;
    for (let cell = from; cell < to; cell++) {
      const now = light[cell] ?? 0;
      let low = lows[cell] ?? now;
      let high = highs[cell] ?? now;
      // Nearly every cell of nearly every picture.
      if (now >= low && now <= high && high - low < LEAST_CHANGE_NITS) continue;
      const way = direction[cell] ?? 0;
      if (now < low) low = now;
      if (now > high) high = now;
      let change = 0;
      // No rule knows a smaller change, and asking the rule costs more than all the rest.
      if (way !== UP && now - low >= LEAST_CHANGE_NITS && isChange(low, now)) {
        change = UP;
        high = now;
      } else if (way !== DOWN && high - now >= LEAST_CHANGE_NITS && isChange(now, high)) {
        change = DOWN;
        low = now;
      }
      lows[cell] = low;
      highs[cell] = high;
      if (change === 0) continue;
      direction[cell] = change;
      changes[cell] = change;
    }
  }
}

/** State of a section of cells since the start. */
const NOTHING = 0;
const ZEROS = 1;
const RED = 2;

function isZero(values: Float64Array, from: number, to: number): boolean {
  for (let i = from; i < to; i++) if (values[i] !== 0) return false;
  return true;
}

/**
 * Swings of redness that lead to or from a saturated red. A swing counts once one of its two sides has been a
 * saturated red a full change away from the other side; a slow one may do so some frames after it was large
 * enough.
 */
export class RedSwings implements Swings {
  readonly #red: Float64Array;
  readonly #saturated: Uint8Array;
  readonly #direction: Int8Array;
  /** The current swing has not reached a saturated red yet. */
  readonly #open: Uint8Array;
  /** Extremes since the last turn, and the same of saturated frames alone. */
  readonly #low: Float64Array;
  readonly #high: Float64Array;
  readonly #lowSaturated: Float64Array;
  readonly #highSaturated: Float64Array;
  /** Where the swing at hand set out: the extreme, and that of its saturated frames. */
  readonly #start: Float64Array;
  readonly #startSaturated: Float64Array;
  /**
   * State of each section of cells since the start. Most pictures have hardly any red in most places.
   */
  readonly #seen: Uint8Array;

  /**
   * @param red, saturated of the cells in the frame at hand; a cell that is saturated is never 0. Their owner
   * writes them anew for each frame.
   */
  constructor(red: Float64Array, saturated: Uint8Array) {
    this.#red = red;
    this.#saturated = saturated;
    const numbers = (): Float64Array => new Float64Array(red.length);
    this.#direction = new Int8Array(red.length);
    this.#open = new Uint8Array(red.length);
    this.#low = numbers();
    this.#high = numbers();
    this.#lowSaturated = numbers();
    this.#highSaturated = numbers();
    this.#start = numbers();
    this.#startSaturated = numbers();
    this.#seen = new Uint8Array(Math.ceil(red.length / CELLS_AT_ONCE));
    this.restart();
  }

  restart(): void {
    this.#direction.fill(0);
    this.#open.fill(0);
    this.#seen.fill(NOTHING);
    this.#low.fill(Number.POSITIVE_INFINITY);
    this.#lowSaturated.fill(Number.POSITIVE_INFINITY);
    this.#high.fill(Number.NEGATIVE_INFINITY);
    this.#highSaturated.fill(Number.NEGATIVE_INFINITY);
  }

  observe(changes: Int8Array): void {
    changes.fill(0);
    const cells = this.#red.length;
    for (let from = 0; from < cells; from += CELLS_AT_ONCE) {
      const to = Math.min(from + CELLS_AT_ONCE, cells);
      if (!this.#isWithoutRed(from, to)) this.#observeCells(changes, from, to);
    }
  }

  /**
   * A stretch whose every cell has been 0 from the start makes no change: its extremes are written once it
   * has been otherwise.
   */
  #isWithoutRed(from: number, to: number): boolean {
    const stretch = from / CELLS_AT_ONCE;
    const seen = this.#seen[stretch];
    if (seen === RED) return false;
    if (isZero(this.#red, from, to)) {
      this.#seen[stretch] = ZEROS;
      return true;
    }
    this.#seen[stretch] = RED;
    if (seen === ZEROS) {
      this.#low.fill(0, from, to);
      this.#high.fill(0, from, to);
    }
    return false;
  }

  #observeCells(changes: Int8Array, from: number, to: number): void {
    const red = this.#red;
    const saturated = this.#saturated;
    const lows = this.#low;
    const highs = this.#high;
    const lowsSaturated = this.#lowSaturated;
    const highsSaturated = this.#highSaturated;
    const open = this.#open;
    for (let cell = from; cell < to; cell++) {
      const now = red[cell] ?? 0;
      const low = lows[cell] ?? now;
      const high = highs[cell] ?? now;
      // Nearly every cell of nearly every picture: no extreme and nothing to wait for.
      const isQuiet =
        open[cell] === 0 &&
        now >= low &&
        now <= high &&
        high - low <= LEAST_RED_CHANGE &&
        (saturated[cell] === 0 ||
          (now >= (lowsSaturated[cell] ?? now) && now <= (highsSaturated[cell] ?? now)));
      if (!isQuiet) changes[cell] = this.#step(cell);
    }
  }

  #step(cell: number): number {
    const now = this.#red[cell] ?? 0;
    const isRed = this.#saturated[cell] === 1;
    let way = this.#direction[cell] ?? 0;
    const low = Math.min(this.#low[cell] ?? now, now);
    const high = Math.max(this.#high[cell] ?? now, now);
    if (way !== UP && now - low > LEAST_RED_CHANGE) {
      this.#turn(cell, UP, low, this.#lowSaturated[cell] ?? now);
      way = UP;
    } else if (way !== DOWN && high - now > LEAST_RED_CHANGE) {
      this.#turn(cell, DOWN, high, this.#highSaturated[cell] ?? now);
      way = DOWN;
    } else {
      this.#low[cell] = low;
      this.#high[cell] = high;
    }
    if (isRed) {
      this.#lowSaturated[cell] = Math.min(this.#lowSaturated[cell] ?? now, now);
      this.#highSaturated[cell] = Math.max(this.#highSaturated[cell] ?? now, now);
    }
    if (this.#open[cell] !== 1) return 0;
    const start = this.#start[cell] ?? now;
    const startSaturated = this.#startSaturated[cell] ?? now;
    const touches =
      (isRed && way * (now - start) > LEAST_RED_CHANGE) || way * (now - startSaturated) > LEAST_RED_CHANGE;
    if (!touches) return 0;
    this.#open[cell] = 0;
    return way;
  }

  /**
   * A new swing begins at an extreme and has come as far as the frame at hand, whose value the extremes now
   * start from.
   */
  #turn(cell: number, way: number, start: number, startSaturated: number): void {
    const now = this.#red[cell] ?? 0;
    this.#direction[cell] = way;
    this.#open[cell] = 1;
    this.#start[cell] = start;
    this.#startSaturated[cell] = startSaturated;
    this.#low[cell] = now;
    this.#high[cell] = now;
    this.#lowSaturated[cell] = Number.POSITIVE_INFINITY;
    this.#highSaturated[cell] = Number.NEGATIVE_INFINITY;
  }
}
