import type { CellGrid } from '../frame-features.js';

/** Pixels in each cell of a grid over a picture: those at the right and bottom edge may be cut. */
export function cellPixels(grid: CellGrid, width: number, height: number): Float64Array {
  const pixels = new Float64Array(grid.columns * grid.rows);
  for (let j = 0; j < grid.rows; j++) {
    const down = Math.min(grid.size, height - j * grid.size);
    for (let i = 0; i < grid.columns; i++) {
      pixels[j * grid.columns + i] = Math.min(grid.size, width - i * grid.size) * down;
    }
  }
  return pixels;
}

/** Sum of |difference| of two sets of cell sums, in codes. */
export function cellDifference(a: Uint32Array, b: Uint32Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += Math.abs((a[i] ?? 0) - (b[i] ?? 0));
  return sum;
}

export interface Likeness {
  /** 0: the same picture; about 1: pictures that have nothing to do with one another. */
  readonly unlike: number;
  /** Share of the changed cells that became brighter; NaN where none changed. */
  readonly brightened: number;
}

/** Steps the levels of the cells are sorted into. */
const STEPS = 128;
/** Pictures with less tone than this are too flat for their pattern to say anything. Fraction of the range. */
const LEAST_TONE = 0.01;
/** Difference of flat pictures that counts as wholly unlike. Fraction of the range. */
const LEAST_EXPECTED = 0.02;

/**
 * Compares the patterns of two frames by the means of their cells. Two measures, of which the smaller counts: the mean difference as a share
 * of what two pictures with these tones would differ by if their patterns had nothing in common (it stays low for noise
 * and for small things that move), and 1 less their correlation (it stays low where only the light changes: fades, flashes of
 * light). Cells that are black in both frames say nothing and are left out, or bars would make all pictures alike.
 */
export class CellLikeness {
  readonly #pixels: Float64Array;
  readonly #black: number;
  readonly #range: number;
  readonly #stepsPerCode: number;
  readonly #now = new Float64Array(STEPS);
  readonly #before = new Float64Array(STEPS);

  /** @param black highest mean code of a black cell; `range` codes from black to white; `topCode` of the depth. */
  constructor(
    pixels: Float64Array,
    levels: { readonly black: number; readonly range: number; readonly topCode: number },
  ) {
    this.#pixels = pixels;
    this.#black = levels.black;
    this.#range = levels.range;
    this.#stepsPerCode = STEPS / (levels.topCode + 1);
  }

  compare(now: Uint32Array, before: Uint32Array): Likeness {
    this.#now.fill(0);
    this.#before.fill(0);
    let weight = 0;
    let difference = 0;
    let sumNow = 0;
    let sumBefore = 0;
    let squaresNow = 0;
    let squaresBefore = 0;
    let products = 0;
    let brighter = 0;
    let darker = 0;
    for (let i = 0; i < now.length; i++) {
      const pixels = this.#pixels[i] ?? 0;
      const c = (now[i] ?? 0) / pixels;
      const p = (before[i] ?? 0) / pixels;
      if (c <= this.#black && p <= this.#black) continue;
      weight += pixels;
      difference += Math.abs(c - p) * pixels;
      if (c > p) brighter += pixels;
      else if (c < p) darker += pixels;
      sumNow += c * pixels;
      sumBefore += p * pixels;
      squaresNow += c * c * pixels;
      squaresBefore += p * p * pixels;
      products += c * p * pixels;
      this.#count(this.#now, c, pixels);
      this.#count(this.#before, p, pixels);
    }
    if (weight === 0) return { unlike: 0, brightened: Number.NaN };
    const meanNow = sumNow / weight;
    const meanBefore = sumBefore / weight;
    const varianceNow = Math.max(squaresNow / weight - meanNow * meanNow, 0);
    const varianceBefore = Math.max(squaresBefore / weight - meanBefore * meanBefore, 0);
    const flat = (LEAST_TONE * this.#range) ** 2;
    const correlation =
      varianceNow < flat || varianceBefore < flat
        ? 0
        : (products / weight - meanNow * meanBefore) / Math.sqrt(varianceNow * varianceBefore);
    const expected = Math.max(this.#expectedDifference(weight), LEAST_EXPECTED * this.#range);
    return {
      unlike: Math.min(difference / weight / expected, 1 - correlation),
      brightened: brighter + darker === 0 ? Number.NaN : brighter / (brighter + darker),
    };
  }

  #count(levels: Float64Array, code: number, pixels: number): void {
    const step = Math.min(Math.floor(code * this.#stepsPerCode), STEPS - 1);
    levels[step] = (levels[step] ?? 0) + pixels;
  }

  /** Mean |difference| in codes of a cell of the one frame from any cell of the other: the integral of F(1-G) + G(1-F). */
  #expectedDifference(weight: number): number {
    let belowNow = 0;
    let belowBefore = 0;
    let sum = 0;
    for (let step = 0; step < STEPS; step++) {
      belowNow += (this.#now[step] ?? 0) / weight;
      belowBefore += (this.#before[step] ?? 0) / weight;
      sum += belowNow * (1 - belowBefore) + belowBefore * (1 - belowNow);
    }
    return sum / this.#stepsPerCode;
  }
}
