import type { CellChange, CellGrid } from '../kernel/frame-features.js';
import { UP } from './swings.js';

/** Pixels that changed upwards and downwards. */
export interface Area {
  up: number;
  down: number;
}

/**
 * A neighbour that changes by less than this part of a cell's own change lies beyond the edge of the flash;
 * so does all outside the screen.
 */
const BEYOND = 1 / 8;

interface Step {
  readonly column: number;
  readonly row: number;
}

/** To the eight neighbours of a cell. */
const NEIGHBOURS: readonly Step[] = [-1, 0, 1].flatMap((row) =>
  [-1, 0, 1].filter((column) => row !== 0 || column !== 0).map((column) => ({ column, row })),
);

/**
 * How much of the screen the cells that changed in a frame stand for. An edge of the flash that runs through
 * a cell leaves it with a part of the change of the cells inside: with light that is even inside and ends
 * sharply, the part that is lit. So a cell at the edge counts as that part at least, as a whole at the
 * utmost; and one beyond it that changed by too little to count, as that part at the utmost.
 */
export class FlashExtent {
  readonly #pixels: Uint32Array;
  readonly #columns: number;
  /** Mean change of a pixel of each cell in the frame at hand, codes. */
  readonly #change: Float64Array;
  /** 1: a cell beyond the edge that has been counted. */
  readonly #spilt: Uint8Array;
  readonly #least: Area = { up: 0, down: 0 };
  readonly #most: Area = { up: 0, down: 0 };
  readonly #areas = { least: this.#least, most: this.#most } as const;

  constructor(pixels: Uint32Array, { columns }: CellGrid) {
    this.#pixels = pixels;
    this.#columns = columns;
    this.#change = new Float64Array(pixels.length);
    this.#spilt = new Uint8Array(pixels.length);
  }

  /** Of cells that are taken as wholes. The areas are written over by the next call. */
  whole(up: number, down: number): { readonly least: Area; readonly most: Area } {
    for (const area of [this.#least, this.#most]) {
      area.up = up;
      area.down = down;
    }
    return this.#areas;
  }

  /** @param ways UP, DOWN or 0 for each cell. The areas are written over by the next call. */
  of(ways: Int8Array, change: CellChange | null): { readonly least: Area; readonly most: Area } {
    this.whole(0, 0);
    this.#read(change);
    for (let cell = 0; cell < ways.length; cell++) {
      const way = ways[cell] ?? 0;
      if (way === 0) continue;
      const size = this.#pixels[cell] ?? 0;
      const direction = way === UP ? 'up' : 'down';
      this.#least[direction] += size * this.#litPart(cell, ways, way);
      this.#most[direction] += size;
    }
    return this.#areas;
  }

  #read(change: CellChange | null): void {
    this.#spilt.fill(0);
    const changes = this.#change;
    for (let cell = 0; cell < changes.length; cell++) {
      const codes = change === null ? 0 : (change.even[cell] ?? 0) + (change.odd[cell] ?? 0);
      changes[cell] = codes / (this.#pixels[cell] ?? 1);
    }
  }

  /** Part of a cell that is surely lit; counts what spills into its neighbours on the way. */
  #litPart(cell: number, ways: Int8Array, way: number): number {
    const own = this.#change[cell] ?? 0;
    const stillBelow = BEYOND * own;
    let strongest = own;
    let ends = this.#isAtBorder(cell);
    for (const step of NEIGHBOURS) {
      const neighbour = this.#neighbour(cell, step);
      if (neighbour < 0) continue;
      const other = this.#change[neighbour] ?? 0;
      const theirs = ways[neighbour];
      if (theirs === way) {
        if (other > strongest) strongest = other;
      } else if (theirs === 0) {
        if (other < stillBelow) ends = true;
        if (other > 0 && this.#spilt[neighbour] === 0) this.#spill(neighbour, ways, way);
      }
    }
    return ends && strongest > 0 ? own / strongest : 1;
  }

  /** A cell that changed by too little to count, beside one that did. */
  #spill(cell: number, ways: Int8Array, way: number): void {
    this.#spilt[cell] = 1;
    const own = this.#change[cell] ?? 0;
    let strongest = own;
    let ends = false;
    for (const step of NEIGHBOURS) {
      const neighbour = this.#neighbour(cell, step);
      if (neighbour < 0) continue;
      const other = this.#change[neighbour] ?? 0;
      if (ways[neighbour] === way) strongest = Math.max(strongest, other);
      else if (ways[neighbour] === 0 && other < BEYOND * own) ends = true;
    }
    if (!ends) return;
    this.#most[way === UP ? 'up' : 'down'] += ((this.#pixels[cell] ?? 0) * own) / strongest;
  }

  #isAtBorder(cell: number): boolean {
    const column = cell % this.#columns;
    return (
      column === 0 ||
      column === this.#columns - 1 ||
      cell < this.#columns ||
      cell >= this.#pixels.length - this.#columns
    );
  }

  /** The cell beside, a step of the eight away; -1 outside the screen. */
  #neighbour(cell: number, { column, row }: Step): number {
    const across = (cell % this.#columns) + column;
    if (across < 0 || across >= this.#columns) return -1;
    const neighbour = cell + row * this.#columns + column;
    return neighbour < this.#pixels.length ? neighbour : -1;
  }
}
