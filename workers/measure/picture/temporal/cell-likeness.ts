import type { CellGrid } from '../kernel/frame-features.js';

/** Pixels in each cell of a grid over a picture: those at the right and bottom edge may be cut. */
export function cellPixels(grid: CellGrid, width: number, height: number): Uint16Array {
  const pixels = new Uint16Array(grid.columns * grid.rows);
  for (let j = 0; j < grid.rows; j++) {
    const down = Math.min(grid.size, height - j * grid.size);
    for (let i = 0; i < grid.columns; i++) {
      pixels[j * grid.columns + i] = Math.min(grid.size, width - i * grid.size) * down;
    }
  }
  return pixels;
}

/**
 * Cells that are added up by one call. In 32 bits: a cell holds 256 samples of 16 bits at most. And loops
 * that are left often are compiled as a whole; one over all cells is entered once a frame, and would run as
 * it was first understood for long.
 */
export const STRETCH = 64;

/** Sum of |difference| of two sets of cell sums, in codes. */
export function cellDifference(a: Uint32Array, b: Uint32Array): number {
  let sum = 0;
  for (let from = 0; from < a.length; from += STRETCH) {
    sum += stretchDifference(a, b, from, Math.min(from + STRETCH, a.length));
  }
  return sum;
}

function stretchDifference(a: Uint32Array, b: Uint32Array, from: number, to: number): number {
  let sum = 0;
  for (let i = from; i < to; i++) {
    const difference = (((a[i] ?? 0) | 0) - ((b[i] ?? 0) | 0)) | 0;
    sum = (sum + (difference < 0 ? -difference : difference)) | 0;
  }
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
/**
 * Pictures with less tone than this are too flat for their pattern to say anything. Fraction of the range.
 */
const LEAST_TONE = 0.01;
/** Difference of flat pictures that counts as wholly unlike. Fraction of the range. */
const LEAST_EXPECTED = 0.02;

/**
 * Compares the patterns of two frames by the means of their cells. Two measures, of which the smaller counts:
 * the mean difference as a share of what two pictures with these tones would differ by if their patterns had
 * nothing in common (it stays low for noise and for small things that move), and 1 less their correlation (it
 * stays low where only the light changes: fades, flashes of light). Cells that are black in both frames say
 * nothing and are left out, or bars would make all pictures alike.
 */
export class CellLikeness {
  readonly #pixels: Uint16Array;
  readonly #black: number;
  readonly #range: number;
  readonly #stepsPerCode: number;
  /**
   * Pixels of a cell that no edge cuts, where that is a power of two: times its inverse is divided by it, to
   * the last bit.
   */
  readonly #whole: number;
  /** Pixels by level of the cells that count. */
  readonly #now = new Int32Array(STEPS);
  readonly #before = new Int32Array(STEPS);

  /**
   * @param black highest mean code of a black cell; `range` codes from black to white; `topCode` of the
   * depth.
   */
  constructor(
    pixels: Uint16Array,
    levels: { readonly black: number; readonly range: number; readonly topCode: number },
  ) {
    this.#pixels = pixels;
    const most = pixels.reduce((a, b) => Math.max(a, b), 0);
    this.#whole = Number.isInteger(Math.log2(most)) ? most : 0;
    this.#black = levels.black;
    this.#range = levels.range;
    this.#stepsPerCode = STEPS / (levels.topCode + 1);
  }

  compare(now: Uint32Array, before: Uint32Array): Likeness {
    this.#now.fill(0);
    this.#before.fill(0);
    const sums = new PairSums();
    const cells = this.#pixels.length;
    for (let from = 0; from < cells; from += STRETCH) {
      this.#add(sums, now, before, from, Math.min(from + STRETCH, cells));
    }
    const { weight, brighter, darker, difference, sumNow, sumBefore } = sums;
    if (weight === 0) return { unlike: 0, brightened: Number.NaN };
    const meanNow = sumNow / weight;
    const meanBefore = sumBefore / weight;
    const varianceNow = Math.max(sums.squaresNow / weight - meanNow * meanNow, 0);
    const varianceBefore = Math.max(sums.squaresBefore / weight - meanBefore * meanBefore, 0);
    const flat = (LEAST_TONE * this.#range) ** 2;
    const correlation =
      varianceNow < flat || varianceBefore < flat
        ? 0
        : (sums.products / weight - meanNow * meanBefore) / Math.sqrt(varianceNow * varianceBefore);
    const expected = Math.max(this.#expectedDifference(weight), LEAST_EXPECTED * this.#range);
    return {
      unlike: Math.min(difference / weight / expected, 1 - correlation),
      brightened: brighter + darker === 0 ? Number.NaN : brighter / (brighter + darker),
    };
  }

  #add(sums: PairSums, now: Uint32Array, before: Uint32Array, from: number, to: number): void {
    const black = this.#black;
    const stepsPerCode = this.#stepsPerCode;
    const whole = this.#whole;
    const share = 1 / whole;
    let { weight, brighter, darker, difference } = sums;
    let { sumNow, sumBefore, squaresNow, squaresBefore, products } = sums;
    for (let i = from; i < to; i++) {
      const pixels = this.#pixels[i] ?? 0;
      const sum = (now[i] ?? 0) | 0;
      const earlier = (before[i] ?? 0) | 0;
      const c = pixels === whole ? sum * share : sum / pixels;
      const p = pixels === whole ? earlier * share : earlier / pixels;
      if (c <= black && p <= black) continue;
      weight += pixels;
      // Without branches: noise makes one as likely as the other.
      brighter += ((earlier - sum) >>> 31) * pixels;
      darker += ((sum - earlier) >>> 31) * pixels;
      difference += Math.abs(c - p) * pixels;
      sumNow += c * pixels;
      sumBefore += p * pixels;
      squaresNow += c * c * pixels;
      squaresBefore += p * p * pixels;
      products += c * p * pixels;
      count(this.#now, c * stepsPerCode, pixels);
      count(this.#before, p * stepsPerCode, pixels);
    }
    sums.weight = weight;
    sums.brighter = brighter;
    sums.darker = darker;
    sums.difference = difference;
    sums.sumNow = sumNow;
    sums.sumBefore = sumBefore;
    sums.squaresNow = squaresNow;
    sums.squaresBefore = squaresBefore;
    sums.products = products;
  }

  /**
   * Mean |difference| in codes of a cell of the one frame from any cell of the other: the integral of F(1-G)
   * + G(1-F).
   */
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

/** Sums over the cells of two frames. */
class PairSums {
  weight = 0;
  brighter = 0;
  darker = 0;
  difference = 0;
  sumNow = 0;
  sumBefore = 0;
  squaresNow = 0;
  squaresBefore = 0;
  products = 0;
}

/** Codes above the top are a broken decoder's: they count as the top. */
function count(levels: Int32Array, step: number, pixels: number): void {
  const level = Math.min(step | 0, STEPS - 1);
  levels[level] = (levels[level] ?? 0) + pixels;
}
