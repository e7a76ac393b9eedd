// Data exchanged between host and kernel: records in the memory of the kernel. Both compilers read this file,
// so host and kernel always agree, and it imports nothing (the types are the kernel's: kernel-types.d.ts). A
// field takes four bytes; fields lie in the order written. Whole numbers and addresses begin as 0, numbers of
// single precision as NaN, by which the host distinguishes them; a record within a record is its address. The
// host fills a `Job` in once for all frames of a plan (kernel-job.ts); the kernel writes to `Frame` and
// `Results`.

/** The planes of a frame and how codes become steps. */
export class Picture {
  width: i32 = 0;
  height: i32 = 0;
  chromaWidth: i32 = 0;
  chromaHeight: i32 = 0;
  chromaShiftX: i32 = 0;
  chromaShiftY: i32 = 0;
  /** 1: lines of a frame are those of two fields. */
  interlaced: i32 = 0;
  /** 1 or 2. */
  bytesPerSample: i32 = 0;
  /** 0 Y'CbCr, 1 RGB (planes G, B, R), 2 grey. */
  model: i32 = 0;
  topCode: i32 = 0;
  /** Codes become steps by this left shift. */
  codeShift: i32 = 0;
  /** Code of black, in steps. */
  black: i32 = 0;
}

/** From chroma to R', G', B': steps per code, times 2^FACTOR_BITS. */
export class Matrix {
  neutral: i32 = 0;
  crToRed: i32 = 0;
  cbToGreen: i32 = 0;
  crToGreen: i32 = 0;
  cbToBlue: i32 = 0;
}

/**
 * The same where pixels share their chroma in pairs and are summed in short steps of 16 bits: see
 * `ShortFactors`.
 */
export class ShortMatrix {
  /** 0: pixels are not summed in short steps. */
  isUsed: i32 = 0;
  chroma: i32 = 0;
  crToRed: i32 = 0;
  cbToGreen: i32 = 0;
  crToGreen: i32 = 0;
  cbToBlue: i32 = 0;
}

/** How R', G', B' are counted: see `RgbBins`. */
export class RgbCounting {
  /** 0: no R'G'B', since the matrix is unknown. */
  isCounted: i32 = 0;
  from: i32 = 0;
  shift: i32 = 0;
  /** Every so many pixels of a row are counted, by light of the scene too. */
  every: i32 = 0;
}

/** R 103: a step above or below these is outside. */
export class Limits {
  low: i32 = 0;
  high: i32 = 0;
  /** After the filter. */
  filteredLow: i32 = 0;
  filteredHigh: i32 = 0;
  /** A short sum beyond these may be outside. */
  shortLow: i32 = 0;
  shortHigh: i32 = 0;
}

export class Light {
  /** 0 none, 1 absolute (PQ), 2 displayed (HLG), 3 scene (camera logs). */
  kind: i32 = 0;
  /** Bins of PQ light begin at this step. */
  from: i32 = 0;
  lastBin: i32 = 0;
  /** Pixels by light, u32 a bin; of camera logs those by their largest channel, u32 a code. */
  counts: usize = 0;
  brightest: usize = 0;
  /** Linear light, f32, by `(step - tableFrom) >> LIGHT_STEP_BITS`. */
  table: usize = 0;
  tableFrom: i32 = 0;
  /** Linear light by short sum, SHORT_STEPS f32. */
  shortTable: usize = 0;
  /** HLG: leading bits of the fifth power of black, and the fifth power of what is not black. */
  powerBase: i32 = 0;
  floorPower: f32 = NaN;
  /** Luminance of R, G, B. */
  red: f32 = NaN;
  green: f32 = NaN;
  blue: f32 = NaN;
}

/**
 * A channel does not lie outside P3 whatever the hue while (largest channel - this one) is not above base +
 * slope times the largest, nor above cap. In units of 64 steps, with 12 fraction bits of the slope; for short
 * sums in short steps, with 15.
 */
export class Spread {
  base: i32 = 0;
  slope: i32 = 0;
  cap: i32 = 0;
  shortBase: i32 = 0;
  shortSlope: i32 = 0;
  shortCap: i32 = 0;
}

export class P3 {
  /** 0: not tested. */
  isTested: i32 = 0;
  /** From BT.2020 to P3-D65: nine f32, row by row. */
  matrix: usize = 0;
  /** A component below this share of the largest of R, G, B is outside. Negative. */
  tolerance: f32 = NaN;
  /** The least light that is compared with P3: PQ, cd/m2; HLG, the fifth power. */
  floorNits: f32 = NaN;
  floorPower: f32 = NaN;
  /**
   * HLG: a channel does not lie outside whatever the hue while it has this share of the largest one's light.
   */
  redShare: f32 = NaN;
  greenShare: f32 = NaN;
  blueShare: f32 = NaN;
  red: Spread = new Spread();
  green: Spread = new Spread();
  blue: Spread = new Spread();
}

/**
 * 32-bit counts by code or bin, and of pairs of neighbours, PAIR_ROWS rows of `Histograms.pairStride` bytes;
 * `pairs` 0 where they are counted one by one.
 */
export class Histogram {
  counts: usize = 0;
  pairs: usize = 0;
}

export class Histograms {
  luma: Histogram = new Histogram();
  cb: Histogram = new Histogram();
  cr: Histogram = new Histogram();
  red: Histogram = new Histogram();
  green: Histogram = new Histogram();
  blue: Histogram = new Histogram();
  pairStride: i32 = 0;
  pairBins: i32 = 0;
}

/**
 * A sum over each cell, u32, and the running sums of the row of cells that is open, i32 for each two samples.
 */
export class CellSum {
  cells: usize = 0;
  running: usize = 0;
}

/** See `CellSums` and `CellChange`. */
export class Cells {
  size: i32 = 0;
  columns: i32 = 0;
  /** Of the three planes. */
  first: CellSum = new CellSum();
  second: CellSum = new CellSum();
  third: CellSum = new CellSum();
  changeEven: CellSum = new CellSum();
  changeOdd: CellSum = new CellSum();
  weaveEven: CellSum = new CellSum();
  weaveOdd: CellSum = new CellSum();
  roughFrame: CellSum = new CellSum();
  roughField: CellSum = new CellSum();
}

/** Of the codes of plane 0: u16 a row, u16 a column. */
export class Extremes {
  rowMin: usize = 0;
  rowMax: usize = 0;
  columnMin: usize = 0;
  columnMax: usize = 0;
}

/** Scratch memory. */
export class Scratch {
  /** A block of rows widened: plane 0, that of the frame before, planes 1 and 2. */
  first: usize = 0;
  before: usize = 0;
  second: usize = 0;
  third: usize = 0;
  /** A spare row of each plane, SHORT_ROW_ROOM longer than the picture. */
  spare: usize = 0;
  /** Largest and smallest short sum of each row, i16. */
  shortMost: usize = 0;
  shortLeast: usize = 0;
  /** R 103: first and last marked pixel of each row, i32; last is -1 for none. */
  firstMarked: usize = 0;
  lastMarked: usize = 0;
  /**
   * Three rows of filter input with their margins, the filtered rows, all i32, and which row each slot of
   * these holds.
   */
  padded: usize = 0;
  filtered: usize = 0;
  filteredNumbers: usize = 0;
  /** The same for the filter in short steps: u16, with margins on both sides. */
  shortPadded: usize = 0;
  shortFiltered: usize = 0;
  shortFilteredNumbers: usize = 0;
  /** Pixels of a row that the filter in short steps leaves open, i32. */
  unsure: usize = 0;
}

/** Position of the kernel in a frame, and results so far. */
export class Frame {
  /** Where the planes begin, and plane 0 of the frame before: 0 for none. */
  first: usize = 0;
  second: usize = 0;
  third: usize = 0;
  before: usize = 0;
  /** Which block is widened. */
  block: i32 = 0;
  /** The open row: of plane 0, and what belongs to it of planes 1 and 2: chroma, or B' and R'. */
  mainRow: usize = 0;
  cbRow: usize = 0;
  crRow: usize = 0;
  /** Largest and smallest short sum. */
  mostShort: i32 = 0;
  leastShort: i32 = 0;
  /** HLG: most light, and the short sum above which the largest of a brighter pixel lies. */
  mostPower: f32 = NaN;
  brightShort: i32 = 0;
  /** Pixels that the marks of R 103 reach to. */
  spanFrom: i32 = 0;
  spanTo: i32 = 0;
  /** How many pixels of the row are in `Scratch.unsure`. */
  unsure: i32 = 0;
}

/** Figures of the frame measured last. */
export class Results {
  /** Smallest and largest R', G' or B', in steps. */
  leastStep: i32 = 0;
  mostStep: i32 = 0;
  /** Largest difference from the frame before, in codes. */
  mostChange: i32 = 0;
  /** Pixels outside the tolerance of R 103 after its filter. */
  outsideR103: i32 = 0;
  /** Pixels outside P3-D65. */
  outsideP3: i32 = 0;
  /** HLG: R', G', B' of the pixel with the most light, in steps. */
  brightestRed: i32 = 0;
  brightestGreen: i32 = 0;
  brightestBlue: i32 = 0;
}

/** All a kernel works with. */
export class Job {
  picture: Picture = new Picture();
  matrix: Matrix = new Matrix();
  shortMatrix: ShortMatrix = new ShortMatrix();
  rgb: RgbCounting = new RgbCounting();
  limits: Limits = new Limits();
  light: Light = new Light();
  p3: P3 = new P3();
  histograms: Histograms = new Histograms();
  cells: Cells = new Cells();
  extremes: Extremes = new Extremes();
  scratch: Scratch = new Scratch();
  frame: Frame = new Frame();
  results: Results = new Results();
}
