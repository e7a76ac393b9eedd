import { chromaLevels, lumaLevels } from '../../../../signal/quantise.js';
import { lumaCoefficients, type MatrixName } from '../../../../signal/ycbcr.js';
import type { CellGrid } from '../kernel/frame-features.js';
import type { PicturePlan } from '../plan/picture-plan.js';

/**
 * Cells whose means are computed at a time: so few that they are still in the fastest cache when they are
 * used. Short loops that are called often are also optimised earlier: one over all cells is entered only once
 * per frame.
 */
export const CELLS_AT_ONCE = 512;

/** Mean R', G', B' signals of some cells. Arrays are reused; of grey pictures the three are one. */
export interface CellMeans {
  readonly red: Float64Array;
  readonly green: Float64Array;
  readonly blue: Float64Array;
  /** Samples of plane 0 in each cell. */
  readonly pixels: Uint32Array;
  /**
   * Means of the cells `[from, to)`, CELLS_AT_ONCE at most; the first comes to entry 0.
   *
   * @param sums of the codes of each plane in each cell, as FrameFeatures has them.
   */
  observe(sums: readonly Uint32Array[], from: number, to: number): void;
}

export function cellMeans(plan: PicturePlan, matrix: MatrixName, grid: CellGrid): CellMeans {
  const { layout, meaning } = plan;
  const luma = cellSamples(plan, grid, 0, 0);
  const pixels = luma.samples;
  const levels = lumaLevels(layout.depth, meaning.range);
  const signals = (): Float64Array => new Float64Array(Math.min(CELLS_AT_ONCE, pixels.length));

  if (layout.model === 'grey') {
    const grey = signals();
    const observe: CellMeans['observe'] = ([sums = NO_SUMS], from, to) =>
      toSignals(sums, luma, levels, grey, from, to);
    return { red: grey, green: grey, blue: grey, pixels, observe };
  }
  const [red, green, blue] = [signals(), signals(), signals()];
  if (layout.model === 'rgb' || matrix === 'gbr') {
    const observe: CellMeans['observe'] = ([g = NO_SUMS, b = NO_SUMS, r = NO_SUMS], from, to) => {
      toSignals(g, luma, levels, green, from, to);
      toSignals(b, luma, levels, blue, from, to);
      toSignals(r, luma, levels, red, from, to);
    };
    return { red, green, blue, pixels, observe };
  }
  const chroma = cellSamples(plan, grid, layout.chromaShiftX, layout.chromaShiftY);
  const { min, neutral, max } = chromaLevels(layout.depth, meaning.range);
  const coefficients = lumaCoefficients(matrix);
  const toBlue = { neutral, perCode: (2 * (1 - coefficients.kb)) / (max - min) };
  const toRed = { neutral, perCode: (2 * (1 - coefficients.kr)) / (max - min) };
  const observe: CellMeans['observe'] = ([y = NO_SUMS, cb = NO_SUMS, cr = NO_SUMS], from, to) => {
    chromaSignals(cb, chroma, toBlue, blue, from, to);
    chromaSignals(cr, chroma, toRed, red, from, to);
    toSignals(y, luma, levels, green, from, to);
    addLuma(red, green, blue, coefficients, to - from);
  };
  return { red, green, blue, pixels, observe };
}

const NO_SUMS = new Uint32Array(0);

interface CellSamples {
  readonly samples: Uint32Array;
  /**
   * Of a cell that no edge cuts: a power of two, so that multiplying by its inverse is dividing by it, to the
   * last bit.
   */
  readonly whole: number;
}

/** Signals of a plane of Y', G', B', R' or grey. */
function toSignals(
  sums: Uint32Array,
  { samples, whole }: CellSamples,
  { black, white }: { readonly black: number; readonly white: number },
  into: Float64Array,
  from: number,
  to: number,
): void {
  const share = 1 / whole;
  const span = white - black;
  for (let cell = from; cell < to; cell++) {
    const sum = sums[cell] ?? 0;
    const of = samples[cell] ?? 1;
    into[cell - from] = ((of === whole ? sum * share : sum / of) - black) / span;
  }
}

/**
 * What a chroma plane adds to Y': signal for each code above neutral.
 */
function chromaSignals(
  sums: Uint32Array,
  { samples, whole }: CellSamples,
  { neutral, perCode }: { readonly neutral: number; readonly perCode: number },
  into: Float64Array,
  from: number,
  to: number,
): void {
  const share = 1 / whole;
  for (let cell = from; cell < to; cell++) {
    const sum = sums[cell] ?? 0;
    const of = samples[cell] ?? 1;
    into[cell - from] = perCode * ((of === whole ? sum * share : sum / of) - neutral);
  }
}

/** Computes R', G', B' from the chroma parts of red and blue and from Y', which is in `green`. */
function addLuma(
  red: Float64Array,
  green: Float64Array,
  blue: Float64Array,
  { kr, kg, kb }: { readonly kr: number; readonly kg: number; readonly kb: number },
  cells: number,
): void {
  for (let cell = 0; cell < cells; cell++) {
    const y = green[cell] ?? 0;
    const b = y + (blue[cell] ?? 0);
    const r = y + (red[cell] ?? 0);
    red[cell] = r;
    blue[cell] = b;
    green[cell] = (y - kr * r - kb * b) / kg;
  }
}

/**
 * Samples of a plane that is 2^shift times smaller in each cell: a sample belongs to the cell of the pixels
 * it was made for.
 */
function cellSamples(
  { geometry }: PicturePlan,
  { size, columns, rows }: CellGrid,
  shiftX: number,
  shiftY: number,
): CellSamples {
  const { width, height } = geometry;
  const along = (pixels: number, shift: number): number => Math.ceil(Math.min(size, pixels) / 2 ** shift);
  const samples = Uint32Array.from({ length: columns * rows }, (_, cell) => {
    const x = size * (cell % columns);
    const y = size * Math.floor(cell / columns);
    return along(width - x, shiftX) * along(height - y, shiftY);
  });
  return { samples, whole: along(size, shiftX) * along(size, shiftY) };
}
