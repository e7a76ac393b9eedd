import { cellGrid } from '../frame-features.js';
import type { PicturePlan } from '../picture-kernel.js';
import { rgbBins } from '../rgb-bins.js';
import { MemoryPlan } from './memory-plan.js';

/** A table of 32-bit counters, and the table odd pixels are counted in, 0 where there is none. */
export interface Counts {
  readonly address: number;
  readonly twin: number;
  readonly view: Uint32Array;
}

/** Frames of wide samples: one measured, the one before, and one that is being filled. */
const WIDE_SLOTS = 3;
/** Bytes: one being widened, one being filled. The widened frames are two more. */
const BYTE_SLOTS = 2;

/** Lays out the shared memory of a kernel and makes the views of it. */
export function kernelMemory(plan: PicturePlan) {
  const { layout, geometry, scale, light } = plan;
  const { width, height, chromaWidth, frameBytes } = geometry;
  const layoutPlan = new MemoryPlan();
  const grid = cellGrid(width, height);
  const cellBytes = 4 * grid.columns * grid.rows;
  const take = (bytes: number): number => layoutPlan.take(bytes);

  const bytes = layout.bytesPerSample === 1;
  const slotAddresses = Array.from({ length: bytes ? BYTE_SLOTS : WIDE_SLOTS }, () => take(frameBytes));
  const frameAddresses = bytes ? Array.from({ length: 2 }, () => take(2 * frameBytes)) : slotAddresses;

  const isPq = light?.kind === 'absolute';
  const lightBins =
    light === null ? 0 : light.kind === 'scene' ? light.binReflectance.length : light.binNits.length;
  const codes = scale.topCode + 1;
  const { count: bins } = rgbBins(plan);
  const table = (length: number, hasTwin: boolean) => ({
    length,
    address: take(4 * length),
    twin: hasTwin ? take(4 * length) : 0,
  });
  const tables = {
    luma: table(codes, true),
    cb: table(codes, true),
    cr: table(codes, true),
    red: table(bins, true),
    green: table(bins, true),
    blue: table(bins, true),
    light: table(lightBins, isPq),
    brightest: table(light?.kind === 'scene' ? codes : 0, false),
  };
  const row = (bytesPerSample: number, samples = width): number => take(bytesPerSample * (samples + 16));
  const chroma = (): number => row(4, chromaWidth);
  const addresses = {
    redSteps: chroma(),
    greenSteps: chroma(),
    blueSteps: chroma(),
    mostSteps: chroma(),
    leastSteps: chroma(),
    redBins: row(2),
    greenBins: row(2),
    blueBins: row(2),
    lightBins: row(2),
    firstMarked: take(4 * height),
    lastMarked: take(4 * height),
    paddedRow: row(4),
    filteredRows: take(5 * 3 * 4 * (width + 8)),
    filteredRowNumbers: take(4 * 5),
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
    runningEven: row(2),
    runningOdd: row(2),
    runningWeaveEven: row(2),
    runningWeaveOdd: row(2),
    runningFrame: row(2),
    runningField: row(2),
    linearTable: take(4 * (light?.linear.length ?? 0)),
    factorTable: take(4 * (light?.kind === 'displayed' ? light.factor.length : 0)),
    p3Matrix: take(9 * 8),
    p3Gate: take(4 * (isPq ? lightBins : 0)),
  };

  const memory = new WebAssembly.Memory({
    initial: layoutPlan.pages,
    maximum: layoutPlan.pages,
    shared: true,
  });
  const { buffer } = memory;
  const counts = ({ address, twin, length }: { address: number; twin: number; length: number }): Counts => ({
    address,
    twin,
    view: new Uint32Array(buffer, address, length),
  });
  const cells = (address: number): Uint32Array => new Uint32Array(buffer, address, grid.columns * grid.rows);
  return {
    memory,
    slotAddresses,
    slots: slotAddresses.map((address) => new Uint8Array(buffer, address, frameBytes)),
    /** The frames as 16-bit codes. */
    frames: frameAddresses.map((address) => ({
      address,
      codes: new Uint16Array(buffer, address, frameBytes / layout.bytesPerSample),
    })),
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
export type KernelMemory = ReturnType<typeof kernelMemory>;
