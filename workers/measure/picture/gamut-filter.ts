import type { SignalLimits } from './signal-limits.js';

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

/** The filter of EBU R 103 v3.0: 1-2-3-4-3-2-1 sixteenths across, 1-2-1 quarters down. */
const TAPS = 7;
const REACH = (TAPS - 1) / 2;
/** Both filters together weigh 16 x 4. */
const WEIGHT = 64;
/**
 * A thousandth of a 10-bit code: R'G'B' are rounded to half a step each, and a value at the limit is not beyond it.
 */
const ROUNDING = 64;

/**
 * Area outside the R 103 tolerance after its filter.
 *
 * The filter is a weighted mean with no negative weights, so a filtered value is outside only where an unfiltered one
 * within its reach is: the frame's first pass marks those pixels (`mark`), and only their surroundings are
 * filtered. Y' is a weighted mean of R'G'B', so it is never outside alone. At the edges of the picture the
 * outermost pixel is taken to go on. Vertically neighbours are of the same field when the picture is interlaced.
 */
export class GamutFilter {
  readonly #width: number;
  readonly #height: number;
  readonly #lineStep: number;
  readonly #min: number;
  readonly #max: number;
  readonly #fill: FillRow;
  /** Marked pixels of each row lie from `first` to `last`. */
  readonly first: Int32Array;
  readonly last: Int32Array;
  #anyMarked = false;
  readonly #row: RgbRow;
  /** Three rows weighed 1-2-1, with `REACH` pixels of edge on both sides. */
  readonly #sums: readonly [Float64Array, Float64Array, Float64Array];

  constructor(
    size: { readonly width: number; readonly height: number; readonly interlaced: boolean },
    limits: SignalLimits,
    fill: FillRow,
  ) {
    this.#width = size.width;
    this.#height = size.height;
    this.#lineStep = size.interlaced ? 2 : 1;
    this.#min = WEIGHT * (limits.min - ROUNDING);
    this.#max = WEIGHT * (limits.max + ROUNDING);
    this.#fill = fill;
    this.first = new Int32Array(size.height);
    this.last = new Int32Array(size.height).fill(-1);
    this.#row = rgbRow(size.width);
    const padded = size.width + 2 * REACH;
    this.#sums = [new Float64Array(padded), new Float64Array(padded), new Float64Array(padded)];
  }

  /** Pixels `first..last` of a row hold every unfiltered value outside the tolerance. */
  mark(row: number, first: number, last: number): void {
    this.first[row] = first;
    this.last[row] = last;
    this.#anyMarked = true;
  }

  /** Pixels outside after the filter; forgets the marks. */
  countOutside(): number {
    if (!this.#anyMarked) return 0;
    let outside = 0;
    for (let y = 0; y < this.#height; y++) outside += this.#countRow(y);
    this.last.fill(-1);
    this.#anyMarked = false;
    return outside;
  }

  #countRow(y: number): number {
    const up = this.#neighbour(y, -this.#lineStep);
    const down = this.#neighbour(y, this.#lineStep);
    let from = this.#width;
    let to = 0;
    for (const row of [up, y, down]) {
      const last = this.last[row] ?? -1;
      if (last < 0) continue;
      from = Math.min(from, (this.first[row] ?? 0) - REACH);
      to = Math.max(to, last + REACH + 1);
    }
    from = Math.max(from, 0);
    to = Math.min(to, this.#width);
    if (from >= to) return 0;
    this.#sumRows(up, y, down, from, to);
    return this.#countOutside(from, to);
  }

  /** The line above or below in the same field; at the top and bottom the line itself. */
  #neighbour(y: number, step: number): number {
    const row = y + step;
    return row < 0 || row >= this.#height ? y : row;
  }

  #sumRows(up: number, y: number, down: number, from: number, to: number): void {
    const lead = Math.max(from - REACH, 0);
    const tail = Math.min(to + REACH, this.#width);
    const { red, green, blue } = this.#row;
    const [r, g, b] = this.#sums;
    for (const [row, weight, keep] of [
      [up, 1, 0],
      [y, 2, 1],
      [down, 1, 1],
    ] as const) {
      this.#fill(row, lead, tail, this.#row);
      for (let x = lead; x < tail; x++) {
        const at = x + REACH;
        r[at] = keep * (r[at] ?? 0) + weight * (red[x] ?? 0);
        g[at] = keep * (g[at] ?? 0) + weight * (green[x] ?? 0);
        b[at] = keep * (b[at] ?? 0) + weight * (blue[x] ?? 0);
      }
    }
    for (const plane of this.#sums) {
      const first = plane[REACH] ?? 0;
      const last = plane[this.#width - 1 + REACH] ?? 0;
      for (let i = 0; i < REACH; i++) {
        if (lead === 0) plane[i] = first;
        if (tail === this.#width) plane[this.#width + REACH + i] = last;
      }
    }
  }

  #countOutside(from: number, to: number): number {
    const [r, g, b] = this.#sums;
    const min = this.#min;
    const max = this.#max;
    let outside = 0;
    for (let x = from; x < to; x++) {
      const red = weigh(r, x);
      const green = weigh(g, x);
      const blue = weigh(b, x);
      const most = red > green ? (red > blue ? red : blue) : green > blue ? green : blue;
      const least = red < green ? (red < blue ? red : blue) : green < blue ? green : blue;
      if (most > max || least < min) outside++;
    }
    return outside;
  }
}

/** The taps across; whole numbers well below 2^53, so exact. */
function weigh(v: Float64Array, x: number): number {
  return (
    (v[x] ?? 0) +
    (v[x + 6] ?? 0) +
    2 * ((v[x + 1] ?? 0) + (v[x + 5] ?? 0)) +
    3 * ((v[x + 2] ?? 0) + (v[x + 4] ?? 0)) +
    4 * (v[x + 3] ?? 0)
  );
}
