// Everything a plan decides, given by name when the module is instantiated: sizes, constants, and the places of tables and scratch in the
// shared memory. Addresses are bytes from the start of memory. The host lays the memory out; nothing is allocated here.

/** Codes of the top left plane, and of the others. */
export declare const width: i32;
export declare const height: i32;
export declare const chromaWidth: i32;
export declare const chromaHeight: i32;
export declare const chromaShiftX: i32;
export declare const chromaShiftY: i32;
/** 1: lines of a frame are those of two fields. */
export declare const interlaced: i32;
/** 1 or 2. */
export declare const bytesPerSample: i32;
/** 0 Y'CbCr, 1 RGB (planes G, B, R), 2 grey. */
export declare const model: i32;

export declare const topCode: i32;
/** Codes become steps by this left shift. */
export declare const codeShift: i32;
export declare const neutral: i32;
/** Steps of R', G', B' per code of chroma, times 2^FACTOR_BITS. */
export declare const crToRed: i32;
export declare const cbToGreen: i32;
export declare const crToGreen: i32;
export declare const cbToBlue: i32;

/**
 * 1: pixels share their chroma in pairs and are summed in short steps of 16 bits. Chroma is multiplied by `shortChroma`, then by these factors
 * of 15 fraction bits, those of R' and B' less one.
 */
export declare const sumsShort: i32;
export declare const shortChroma: i32;
export declare const shortCrToRed: i32;
export declare const shortCbToGreen: i32;
export declare const shortCrToGreen: i32;
export declare const shortCbToBlue: i32;
/** A short sum beyond these may be outside the limits of R 103. */
export declare const shortLow: i32;
export declare const shortHigh: i32;

/** 0: no R'G'B', since the matrix is unknown. */
export declare const hasRgb: i32;
export declare const rgbFrom: i32;
export declare const rgbShift: i32;
/** Every so many pixels of a row are counted by R', G', B', and by light of the scene. */
export declare const countedPixels: i32;
/** R 103: a step above or below these is outside. */
export declare const limitLow: i32;
export declare const limitHigh: i32;
/** The same after the filter, in units of the filter's sum. */
export declare const filteredLow: i32;
export declare const filteredHigh: i32;

/** 0 none, 1 absolute (PQ), 2 displayed (HLG), 3 scene (camera logs). */
export declare const lightKind: i32;
export declare const lightFrom: i32;
export declare const lightLastBin: i32;
export declare const linearTable: usize;
export declare const linearFrom: i32;
/** Light by short sum, `SHORT_STEPS` f32. */
export declare const shortTable: usize;
/** Displayed light: leading bits of the fifth power of black, the fifth power of what is not, and of the least that is held against P3. */
export declare const powerBase: i32;
export declare const floorPower: f64;
export declare const p3FloorPower: f64;
/** Code of black, in steps. */
export declare const black: i32;
export declare const floatBinBase: i32;
export declare const floatBinShift: i32;
export declare const floatBinLast: i32;
/** Luminance of R, G, B. */
export declare const lumaRed: f64;
export declare const lumaGreen: f64;
export declare const lumaBlue: f64;
/** 0: not tested. The matrix is nine f32, row by row. */
export declare const testsP3: i32;
export declare const p3Matrix: usize;
/**
 * A channel does not lie outside P3 whatever the hue while (max - channel) is not above spreadBase + spreadSlope / 4096 times max, nor above spreadCap,
 * all in units of 64 steps.
 */
export declare const spreadBaseRed: i32;
export declare const spreadBaseGreen: i32;
export declare const spreadBaseBlue: i32;
export declare const spreadSlopeRed: i32;
export declare const spreadSlopeGreen: i32;
export declare const spreadSlopeBlue: i32;
export declare const spreadCapRed: i32;
export declare const spreadCapGreen: i32;
export declare const spreadCapBlue: i32;
/** The same for short sums: in short steps, and 15 fraction bits. */
export declare const shortBaseRed: i32;
export declare const shortBaseGreen: i32;
export declare const shortBaseBlue: i32;
export declare const shortCapRed: i32;
export declare const shortCapGreen: i32;
export declare const shortCapBlue: i32;
export declare const shortSlopeRed: i32;
export declare const shortSlopeGreen: i32;
export declare const shortSlopeBlue: i32;
/** HLG: a channel does not lie outside whatever the hue while it has this share of the largest one's light. */
export declare const p3RedShare: f64;
export declare const p3GreenShare: f64;
export declare const p3BlueShare: f64;
export declare const p3Tolerance: f64;
export declare const p3FloorNits: f64;

/** Histograms, 32-bit counts. */
export declare const lumaCounts: usize;
export declare const cbCounts: usize;
export declare const crCounts: usize;
export declare const redCounts: usize;
export declare const greenCounts: usize;
export declare const blueCounts: usize;
export declare const lightCounts: usize;
export declare const brightestCounts: usize;
/** Tables of pairs, and the bytes of their rows; `countsPairs` 0 where pictures are counted one by one. */
export declare const countsPairs: i32;
export declare const lumaPairs: usize;
export declare const cbPairs: usize;
export declare const crPairs: usize;
/** Of RGB pictures alone. */
export declare const redPairs: usize;
export declare const greenPairs: usize;
export declare const bluePairs: usize;
export declare const codeStride: i32;
export declare const codeBins: i32;

/** Largest and smallest short sum of each row, i16. */
export declare const shortMost: usize;
export declare const shortLeast: usize;
/** A block of rows widened: plane 0, that of the frame before, planes 1 and 2; and a spare row of each plane, `SHORT_ROW_ROOM` longer than the picture. */
export declare const blockRows: usize;
export declare const blockBefore: usize;
export declare const blockSecond: usize;
export declare const blockThird: usize;
export declare const spareRows: usize;
/** R 103: first and last marked pixel of each row, i32; last is -1 for none. */
export declare const firstMarked: usize;
export declare const lastMarked: usize;
/** Three rows of filter input with their margins, and the filtered rows, all i32. */
export declare const paddedRows: usize;
export declare const filteredRows: usize;
/** Which row each slot of `filteredRows` holds, i32. */
export declare const filteredRowNumbers: usize;
/** The same for the filter in short steps: u16, with margins on both sides. */
export declare const shortPadded: usize;
export declare const shortFiltered: usize;
export declare const shortFilteredNumbers: usize;
/** Pixels of a row, i32. */
export declare const unsurePixels: usize;

/** Extremes: u16 a row, u16 a column. */
export declare const rowMin: usize;
export declare const rowMax: usize;
export declare const columnMin: usize;
export declare const columnMax: usize;
/** Cells: sums of the three planes, change, weave, roughness: u32 a cell. */
export declare const cellSize: i32;
export declare const cellColumns: i32;
export declare const cellSums0: usize;
export declare const cellSums1: usize;
export declare const cellSums2: usize;
export declare const changeEven: usize;
export declare const changeOdd: usize;
export declare const weaveEven: usize;
export declare const weaveOdd: usize;
export declare const roughFrame: usize;
export declare const roughField: usize;
/** Running sums of a row of cells, i32 for each two samples. */
export declare const runningSums: usize;
export declare const runningSecond: usize;
export declare const runningThird: usize;
export declare const runningEven: usize;
export declare const runningOdd: usize;
export declare const runningWeaveEven: usize;
export declare const runningWeaveOdd: usize;
export declare const runningFrame: usize;
export declare const runningField: usize;
