import type { CellChange, CellGrid } from '../kernel/frame-features.js';
import { CELLS_AT_ONCE } from './cell-means.js';
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

/**
 * How much of the screen the cells that changed in a frame stand for. An edge of the flash that runs through
 * a cell leaves it with a part of the change of the cells inside: with light that is even inside and ends
 * sharply, the part that is lit. So a cell at the edge counts as that part at least, as a whole at the
 * utmost; and one beyond it that changed by too little to count, as that part at the utmost.
 */
export class FlashExtent {
  readonly #pixels: Uint32Array;
  readonly #columns: number;
  /** To the eight neighbours of a cell that is not at the border. */
  readonly #steps: Int32Array;
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
    this.#steps = Int32Array.of(
      -columns - 1,
      -columns,
      1 - columns,
      -1,
      1,
      columns - 1,
      columns,
      columns + 1,
    );
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
    this.#spilt.fill(0);
    for (let from = 0; from < ways.length; from += CELLS_AT_ONCE) {
      this.#read(change, from, Math.min(from + CELLS_AT_ONCE, ways.length));
    }
    for (let from = 0; from < ways.length; from += CELLS_AT_ONCE) {
      this.#add(ways, from, Math.min(from + CELLS_AT_ONCE, ways.length));
    }
    return this.#areas;
  }

  #read(change: CellChange | null, from: number, to: number): void {
    const changes = this.#change;
    const pixels = this.#pixels;
    for (let cell = from; cell < to; cell++) {
      const codes = change === null ? 0 : (change.even[cell] ?? 0) + (change.odd[cell] ?? 0);
      changes[cell] = codes / (pixels[cell] ?? 1);
    }
  }

  #add(ways: Int8Array, from: number, to: number): void {
    const least = this.#least;
    const most = this.#most;
    for (let cell = from; cell < to; cell++) {
      const way = ways[cell] ?? 0;
      if (way === 0) continue;
      const size = this.#pixels[cell] ?? 0;
      const lit = size * this.#litPart(cell, ways, way);
      if (way === UP) {
        least.up += lit;
        most.up += size;
      } else {
        least.down += lit;
        most.down += size;
      }
    }
  }

  /** Part of a cell that is surely lit; counts what spills into its neighbours on the way. */
  #litPart(cell: number, ways: Int8Array, way: number): number {
    const own = this.#change[cell] ?? 0;
    const isAtBorder = this.#isAtBorder(cell);
    let strongest = own;
    let ends = isAtBorder;
    for (const step of this.#steps) {
      const neighbour = cell + step;
      if (isAtBorder && !this.#isBeside(cell, neighbour)) continue;
      const theirs = ways[neighbour];
      if (theirs === -way) continue;
      const other = this.#change[neighbour] ?? 0;
      if (theirs === way) {
        if (other > strongest) strongest = other;
      } else {
        if (other < BEYOND * own) ends = true;
        if (other > 0 && this.#spilt[neighbour] === 0) this.#spill(neighbour, ways, way);
      }
    }
    return ends && strongest > 0 ? own / strongest : 1;
  }

  /** A cell that changed by too little to count, beside one that did. */
  #spill(cell: number, ways: Int8Array, way: number): void {
    this.#spilt[cell] = 1;
    const own = this.#change[cell] ?? 0;
    const isAtBorder = this.#isAtBorder(cell);
    let strongest = own;
    let ends = false;
    for (const step of this.#steps) {
      const neighbour = cell + step;
      if (isAtBorder && !this.#isBeside(cell, neighbour)) continue;
      const other = this.#change[neighbour] ?? 0;
      if (ways[neighbour] === way) strongest = Math.max(strongest, other);
      else if (ways[neighbour] === 0 && other < BEYOND * own) ends = true;
    }
    if (!ends) return;
    const lit = ((this.#pixels[cell] ?? 0) * own) / strongest;
    if (way === UP) this.#most.up += lit;
    else this.#most.down += lit;
  }

  #isAtBorder(cell: number): boolean {
    const columns = this.#columns;
    const column = cell % columns;
    const lastRow = this.#pixels.length - columns;
    return column === 0 || column === columns - 1 || cell < columns || cell >= lastRow;
  }

  /** Whether the cell one step away lies on the screen, and not at the other end of a row. */
  #isBeside(cell: number, neighbour: number): boolean {
    const across = Math.abs((neighbour % this.#columns) - (cell % this.#columns));
    return neighbour >= 0 && neighbour < this.#pixels.length && across <= 1;
  }
}
