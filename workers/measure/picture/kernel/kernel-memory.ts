import type { PicturePlan } from '../plan/picture-plan.js';
import { rgbBins } from '../plan/rgb-bins.js';
import { cellGrid } from './frame-features.js';
import { MemoryPlan } from './memory-plan.js';

/** A table of 32-bit counters, and its table of pairs, 0 where there is none. */
export interface Counts {
  readonly address: number;
  readonly pairs: number;
  readonly view: Uint32Array;
}

/** Pairs are counted by their difference, -16 to 15. */
export const PAIR_ROWS = 32;
/** Up to this depth two neighbours mostly differ by less, noise and all. */
const DEEPEST_PAIRS = 10;

/** Pixels a scratch row of 32 bits is longer than the picture, as in sizes.ts of the kernel. */
export const ROW_ROOM = 16;
/** The same for rows of 16 bits. */
export const SHORT_ROW_ROOM = 32;

/** Frames: one measured, the one before, and one that is being filled. */
const SLOTS = 3;
/** Rows that are measured together. */
export const BLOCK = 8;

/** Lays out the shared memory of a kernel and makes the views of it. */
export function kernelMemory(plan: PicturePlan) {
  const { layout, geometry, scale, light } = plan;
  const { width, height, frameBytes } = geometry;
  const layoutPlan = new MemoryPlan();
  const grid = cellGrid(width, height);
  const cellBytes = 4 * grid.columns * grid.rows;
  const take = (bytes: number): number => layoutPlan.take(bytes);

  const bytes = layout.bytesPerSample === 1;
  const slotAddresses = Array.from({ length: SLOTS }, () => take(frameBytes));
  // Bytes are widened block by block; the whole frame only for who looks at its samples.
  const widened = bytes ? take(2 * frameBytes) : 0;
  const block = (samples: number): number => take(bytes ? 2 * BLOCK * samples : 0);

  const lightBins =
    light === null ? 0 : light.kind === 'scene' ? light.binReflectance.length : light.binNits.length;
  const codes = scale.topCode + 1;
  const { count: bins } = rgbBins(plan);
  const countsPairs = layout.depth <= DEEPEST_PAIRS;
  const codeStride = pairStride(codes);
  // Of RGB the channels are planes; elsewhere they are counted one by one.
  const rgbStride = layout.model === 'rgb' ? codeStride : 0;
  const table = (length: number, stride = 0) => {
    // Pairs are split into both of their bins in fours: what lies before and after a table is written to.
    take(64);
    return {
      length,
      address: take(4 * length),
      pairs: countsPairs && stride > 0 ? take(PAIR_ROWS * stride) : 0,
    };
  };
  const tables = {
    luma: table(codes, codeStride),
    cb: table(codes, codeStride),
    cr: table(codes, codeStride),
    red: table(bins, rgbStride),
    green: table(bins, rgbStride),
    blue: table(bins, rgbStride),
    light: table(lightBins),
    brightest: table(light?.kind === 'scene' ? codes : 0),
  };
  const row = (bytesPerSample: number): number => take(bytesPerSample * (width + 16));
  const addresses = {
    blockRows: block(width),
    blockBefore: block(width),
    blockSecond: block(geometry.chromaWidth),
    blockThird: block(geometry.chromaWidth),
    spareRows: take(3 * 2 * (width + SHORT_ROW_ROOM)),
    shortMost: take(2 * height),
    shortLeast: take(2 * height),
    firstMarked: take(4 * height),
    lastMarked: take(4 * height),
    paddedRows: take(3 * 4 * (width + ROW_ROOM)),
    filteredRows: take(5 * 3 * 4 * (width + ROW_ROOM)),
    filteredRowNumbers: take(4 * 5),
    shortPadded: take(3 * 2 * (width + SHORT_ROW_ROOM)),
    shortFiltered: take(5 * 3 * 2 * (width + SHORT_ROW_ROOM)),
    shortFilteredNumbers: take(4 * 5),
    unsurePixels: take(4 * width),
    rowMin: take(2 * height),
    rowMax: take(2 * height),
    columnMin: take(2 * width),
    columnMax: take(2 * width),
    cellSums0: take(cellBytes),
    cellSums1: take(cellBytes),
    cellSums2: take(cellBytes),
    changeEven: take(cellBytes),
    changeOdd: take(cellBytes),
    weaveEven: take(cellBytes),
    weaveOdd: take(cellBytes),
    roughFrame: take(cellBytes),
    roughField: take(cellBytes),
    runningSums: row(2),
    runningSecond: row(2),
    runningThird: row(2),
    runningEven: row(2),
    runningOdd: row(2),
    runningWeaveEven: row(2),
    runningWeaveOdd: row(2),
    runningFrame: row(2),
    runningField: row(2),
    linearTable: take(4 * (light?.linear.length ?? 0)),
    shortTable: take(4 * (light?.shortLinear.length ?? 0)),
    p3Matrix: take(9 * 4),
  };

  const memory = new WebAssembly.Memory({
    initial: layoutPlan.pages,
    maximum: layoutPlan.pages,
    shared: true,
  });
  const { buffer } = memory;
  const counts = ({
    address,
    pairs,
    length,
  }: {
    address: number;
    pairs: number;
    length: number;
  }): Counts => ({
    address,
    pairs,
    view: new Uint32Array(buffer, address, length),
  });
  const cells = (address: number): Uint32Array => new Uint32Array(buffer, address, grid.columns * grid.rows);
  return {
    memory,
    slotAddresses,
    slots: slotAddresses.map((address) => new Uint8Array(buffer, address, frameBytes)),
    /** Where a frame of bytes goes when it is widened as a whole; 0 for wider samples. */
    widened,
    /** The frames as 16-bit codes. */
    codes: (bytes ? [widened] : slotAddresses).map(
      (address) => new Uint16Array(buffer, address, frameBytes / layout.bytesPerSample),
    ),
    counts: {
      luma: counts(tables.luma),
      cb: counts(tables.cb),
      cr: counts(tables.cr),
      red: counts(tables.red),
      green: counts(tables.green),
      blue: counts(tables.blue),
      light: counts(tables.light),
      brightest: counts(tables.brightest),
    },
    addresses,
    pairs: { countsPairs, codeStride, codes },
    extremes: {
      rowMin: new Uint16Array(buffer, addresses.rowMin, height),
      rowMax: new Uint16Array(buffer, addresses.rowMax, height),
      columnMin: new Uint16Array(buffer, addresses.columnMin, width),
      columnMax: new Uint16Array(buffer, addresses.columnMax, width),
    },
    cells: {
      sums: [cells(addresses.cellSums0), cells(addresses.cellSums1), cells(addresses.cellSums2)],
      changeEven: cells(addresses.changeEven),
      changeOdd: cells(addresses.changeOdd),
      weaveEven: cells(addresses.weaveEven),
      weaveOdd: cells(addresses.weaveOdd),
      roughFrame: cells(addresses.roughFrame),
      roughField: cells(addresses.roughField),
    },
  };
}
/** Bytes of a row of pairs: an odd number of cache lines, so that the rows of one tone do not fall into the same place of the cache. */
function pairStride(bins: number): number {
  const lines = Math.ceil((4 * bins) / 64);
  return 64 * (lines % 2 === 0 ? lines + 1 : lines);
}

export type KernelMemory = ReturnType<typeof kernelMemory>;
