import type { SignalLimits } from '../plan/signal-limits.js';
import { greater, lesser } from './integer-extremes.js';

/** Fills one row of R', G', B' in steps, from pixel `from` up to `to`. */
export type FillRow = (row: number, from: number, to: number, rgb: RgbRow) => void;

export interface RgbRow {
  readonly red: Int32Array;
  readonly green: Int32Array;
  readonly blue: Int32Array;
}

export function rgbRow(width: number): RgbRow {
  return { red: new Int32Array(width), green: new Int32Array(width), blue: new Int32Array(width) };
}

/** The filter of EBU R 103 v3.0: 1-2-3-4-3-2-1 sixteenths across, 1-2-1 quarters down; together 64ths. */
const REACH = 3;
/**
 * Values are filtered in units of 64 steps, a thousandth of a 10-bit code, so that 64 of them added up fit 32
 * bits. The sum of 64 units is then a value in steps again, and meets the limits without a division.
 */
const UNIT_BITS = 6;
/**
 * A value at the limit is not beyond it, whatever the rounding of the matrix and of the units: one unit each.
 */
const ROUNDING = 2;

/** A value in steps above `high` or below `low` is outside: the limits for whole steps. */
export function stepLimits(limits: SignalLimits): { readonly low: number; readonly high: number } {
  return { low: Math.ceil(limits.min), high: Math.floor(limits.max) };
}

/** The same for a value that has passed the filter, with its rounding. */
export function filterLimits(limits: SignalLimits): { readonly low: number; readonly high: number } {
  const { low, high } = stepLimits(limits);
  return { low: low - (ROUNDING << UNIT_BITS), high: high + (ROUNDING << UNIT_BITS) };
}

interface FilteredRow extends RgbRow {
  /** Which row of the picture it is; -1 for none. */
  row: number;
}

interface Neighbours {
  readonly up: RgbRow;
  readonly here: RgbRow;
  readonly down: RgbRow;
}

/** Is given the place of a pixel outside the tolerance. */
export type SeeOutside = (x: number, y: number) => void;

/**
 * Area outside the R 103 tolerance after its filter.
 *
 * The filter is a weighted mean with no negative weights, so a filtered value is outside only where an
 * unfiltered one within its reach is: the frame's first pass marks those pixels (`mark`), and only their
 * surroundings are judged. Y' is a weighted mean of R'G'B', so it is never outside alone. At the edges of the
 * picture the outermost pixel is taken to go on. Vertically neighbours are of the same field when the picture
 * is interlaced.
 */
export class GamutFilter {
  readonly #width: number;
  readonly #height: number;
  readonly #lineStep: number;
  readonly #min: number;
  readonly #max: number;
  readonly #fill: FillRow;
  /** Marked pixels of each row lie from `first` to `last`. */
  readonly #first: Int32Array;
  readonly #last: Int32Array;
  #anyMarked = false;
  readonly #source: RgbRow;
  readonly #padded: Int32Array;
  /** Rows filtered across, each kept until no line below needs it. */
  readonly #rows: readonly FilteredRow[];

  constructor(
    size: { readonly width: number; readonly height: number; readonly interlaced: boolean },
    limits: SignalLimits,
    fill: FillRow,
  ) {
    this.#width = size.width;
    this.#height = size.height;
    this.#lineStep = size.interlaced ? 2 : 1;
    const { low, high } = filterLimits(limits);
    this.#min = low;
    this.#max = high;
    this.#fill = fill;
    this.#first = new Int32Array(size.height);
    this.#last = new Int32Array(size.height).fill(-1);
    this.#source = rgbRow(size.width);
    this.#padded = new Int32Array(size.width + 2 * REACH);
    this.#rows = Array.from({ length: 2 * this.#lineStep + 1 }, () => ({ ...rgbRow(size.width), row: -1 }));
  }

  /** Pixels `first..last` of a row hold every unfiltered value outside the tolerance. */
  mark(row: number, first: number, last: number): void {
    this.#first[row] = first;
    this.#last[row] = last;
    this.#anyMarked = true;
  }

  /**
   * Pixels outside after the filter; forgets the marks.
   *
   * @param see is given each of them
   */
  countOutside(see: SeeOutside | null = null): number {
    if (!this.#anyMarked) return 0;
    let outside = 0;
    for (let y = 0; y < this.#height; y++) outside += this.#countRow(y, see);
    this.#last.fill(-1);
    for (const filtered of this.#rows) filtered.row = -1;
    this.#anyMarked = false;
    return outside;
  }

  #countRow(y: number, see: SeeOutside | null): number {
    const up = this.#neighbour(y, -this.#lineStep);
    const down = this.#neighbour(y, this.#lineStep);
    let from = this.#width;
    let to = 0;
    for (const row of [up, y, down]) {
      const last = this.#last[row] ?? -1;
      if (last < 0) continue;
      from = Math.min(from, (this.#first[row] ?? 0) - REACH);
      to = Math.max(to, last + REACH + 1);
    }
    from = Math.max(from, 0);
    to = Math.min(to, this.#width);
    if (from >= to) return 0;
    const rows = { up: this.#filtered(up), here: this.#filtered(y), down: this.#filtered(down) };
    return this.#judge(rows, from, to, see && ((x) => see(x, y)));
  }

  /** The line above or below in the same field; at the top and bottom the line itself. */
  #neighbour(y: number, step: number): number {
    const row = y + step;
    return row < 0 || row >= this.#height ? y : row;
  }

  #filtered(row: number): RgbRow {
    const slot = this.#rows[row % this.#rows.length];
    if (!slot) throw new RangeError(`no row ${row}`);
    if (slot.row !== row) {
      this.#fill(row, 0, this.#width, this.#source);
      this.#across(this.#source.red, slot.red);
      this.#across(this.#source.green, slot.green);
      this.#across(this.#source.blue, slot.blue);
      slot.row = row;
    }
    return slot;
  }

  /** One channel of a row through the taps across. */
  #across(steps: Int32Array, into: Int32Array): void {
    const width = this.#width;
    const v = this.#padded;
    for (let x = 0; x < width; x++) v[x + REACH] = (steps[x] ?? 0) >> UNIT_BITS;
    v.fill(v[REACH] ?? 0, 0, REACH);
    v.fill(v[width - 1 + REACH] ?? 0, width + REACH);
    for (let x = 0; x < width; x++) {
      const ends = (v[x] ?? 0) + (v[x + 6] ?? 0);
      const outer = (v[x + 1] ?? 0) + (v[x + 5] ?? 0);
      const inner = (v[x + 2] ?? 0) + (v[x + 4] ?? 0);
      into[x] = ends + 2 * outer + 3 * inner + 4 * (v[x + 3] ?? 0);
    }
  }

  /** 1-2-1 down, then the limits. */
  #judge(
    { up, here, down }: Neighbours,
    from: number,
    to: number,
    see: ((x: number) => void) | null,
  ): number {
    const min = this.#min;
    const max = this.#max;
    let outside = 0;
    for (let x = from; x < to; x++) {
      const red = (up.red[x] ?? 0) + 2 * (here.red[x] ?? 0) + (down.red[x] ?? 0);
      const green = (up.green[x] ?? 0) + 2 * (here.green[x] ?? 0) + (down.green[x] ?? 0);
      const blue = (up.blue[x] ?? 0) + 2 * (here.blue[x] ?? 0) + (down.blue[x] ?? 0);
      if (greater(greater(red, green), blue) <= max && lesser(lesser(red, green), blue) >= min) continue;
      outside++;
      see?.(x);
    }
    return outside;
  }
}
