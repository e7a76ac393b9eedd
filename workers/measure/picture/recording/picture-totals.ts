/**
 * What a kernel has counted over a run of frames. Plain arrays, so that it crosses threads, and additive: the
 * totals of two runs are the sums of their histograms and their frame columns one after the other.
 */
export interface PictureTotals {
  readonly frames: number;
  readonly pixelsPerFrame: number;
  /** Samples by code, at the depth of the file. Null where there is no such plane. */
  readonly luma: Float64Array | null;
  readonly cb: Float64Array | null;
  readonly cr: Float64Array | null;
  /** R', G', B' after the matrix, on the rows of `countsRgbOn`. Null where the matrix is unknown. */
  readonly rgb: RgbHistograms | null;
  /** Pixels by light, in the bins of the light plan. */
  readonly light: Float64Array | null;
  /** Scene light only: pixels by max(R',G',B'), in the bins of `rgb`. */
  readonly brightest: Float64Array | null;
  readonly columns: FrameColumns;
  /** Columns of each frame study, by its name. */
  readonly studies: Readonly<Record<string, Readonly<Record<string, Float64Array>>>>;
  /** Sums of each plane study, by its name. */
  readonly sums: Readonly<Record<string, Float64Array>>;
}

export interface RgbHistograms {
  readonly red: Float64Array;
  readonly green: Float64Array;
  readonly blue: Float64Array;
  /** Bin `i` holds the values that round to code `firstCode + i * codesPerBin`. */
  readonly firstCode: number;
  readonly codesPerBin: number;
}

/** One value a frame. NaN where a column does not apply. */
export interface FrameColumns {
  /** Codes; for RGB pictures the luma columns are NaN. */
  readonly lumaMin: Float64Array;
  readonly lumaMax: Float64Array;
  /** Codes, unrounded: the matrix gives fractions. */
  readonly rgbMin: Float64Array;
  readonly rgbMax: Float64Array;
  /** EBU R 103: share of the picture outside the tolerance, after the filter. */
  readonly gamutArea: Float64Array;
  /** 1 where the frame has a sample at a code SDI reserves. */
  readonly reserved: Float64Array;
  /** cd/m2 of max(R,G,B). */
  readonly lightMax: Float64Array;
  readonly lightAverage: Float64Array;
  /** 99.99 percentile of the frame's pixels, cd/m2. */
  readonly lightP9999: Float64Array;
  /** Share of the picture outside P3-D65. */
  readonly p3Area: Float64Array;
}

export type ColumnName = keyof FrameColumns;
export const COLUMN_NAMES = [
  'lumaMin',
  'lumaMax',
  'rgbMin',
  'rgbMax',
  'gamutArea',
  'reserved',
  'lightMax',
  'lightAverage',
  'lightP9999',
  'p3Area',
] as const satisfies readonly ColumnName[];
