import type { LightPlan } from '../plan/light.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import { rgbBins } from '../plan/rgb-bins.js';
import { cellGrid } from './frame-features.js';
import { MemoryPlan } from './memory-plan.js';
import { placeRecord } from './record-memory.js';
import { type CellSum, type Cells, type Histogram, Job, type Scratch } from './records.js';
import { BLOCK, PAIR_ROWS, ROW_ROOM, SHORT_ROW_ROOM } from './sizes.js';

/** Up to this depth two neighbours mostly differ by less than pairs are counted by, noise and all. */
const DEEPEST_PAIRS = 10;

/** Frames: one measured, the one before, and one that is being filled. */
const SLOTS = 3;

/**
 * Lays out the shared memory of a kernel: where everything of its job lies. Makes the memory, in which
 * nothing is written yet.
 */
export function kernelMemory(plan: PicturePlan) {
  const { layout, geometry, light } = plan;
  const space = new MemoryPlan();
  const job = placeRecord(space, new Job());
  const bytes = layout.bytesPerSample === 1;
  const slots = Array.from({ length: SLOTS }, () => space.take(geometry.frameBytes));
  // Bytes are widened block by block; the whole frame only for plane studies.
  const widened = bytes ? space.take(2 * geometry.frameBytes) : 0;
  const parts = {
    job,
    slots,
    /** Where a frame of bytes goes when it is widened as a whole; 0 for wider samples. */
    widened,
    ...placeHistograms(space, plan),
    scratch: placeScratch(space, plan),
    extremes: {
      rowMin: space.take(2 * geometry.height),
      rowMax: space.take(2 * geometry.height),
      columnMin: space.take(2 * geometry.width),
      columnMax: space.take(2 * geometry.width),
    },
    cells: placeCells(space, plan),
    lightTable: space.take(4 * (light?.linear.length ?? 0)),
    shortLightTable: space.take(4 * (light?.shortLinear.length ?? 0)),
    p3Matrix: space.take(9 * 4),
  };
  const memory = new WebAssembly.Memory({ initial: space.pages, maximum: space.pages, shared: true });
  return { memory, ...parts };
}

export type KernelMemory = ReturnType<typeof kernelMemory>;

/** Histograms, and the counters of each. */
function placeHistograms(space: MemoryPlan, { layout, scale, light }: PicturePlan) {
  const codes = scale.topCode + 1;
  const bins = rgbBins({ layout, scale }).count;
  const pairStride = pairBytes(codes);
  const countsPairs = layout.depth <= DEEPEST_PAIRS;
  const lengths = {
    ...{ luma: codes, cb: codes, cr: codes, red: bins, green: bins, blue: bins },
    light: lightBins(light),
    brightest: light?.kind === 'scene' ? codes : 0,
  };
  const counts = (length: number): number => {
    // Pairs are split into both of their bins in fours: what lies before and after a table is written to.
    space.take(64);
    return space.take(4 * length);
  };
  const histogram = (length: number, hasPairs: boolean): Histogram => ({
    counts: counts(length),
    pairs: countsPairs && hasPairs ? space.take(PAIR_ROWS * pairStride) : 0,
  });
  // Codes that follow one another are counted in pairs: those of planes. Of RGB the channels are planes;
  // elsewhere they are counted one by one.
  const ofYcbcr = layout.model === 'ycbcr';
  const ofRgb = layout.model === 'rgb';
  const histograms = {
    luma: histogram(lengths.luma, ofYcbcr),
    cb: histogram(lengths.cb, ofYcbcr),
    cr: histogram(lengths.cr, ofYcbcr),
    red: histogram(lengths.red, ofRgb),
    green: histogram(lengths.green, ofRgb),
    blue: histogram(lengths.blue, ofRgb),
    pairStride,
    pairBins: Math.ceil(codes / 4) * 4,
  };
  const lightCounts = counts(lengths.light);
  const brightestCounts = counts(lengths.brightest);
  return { histograms, lightCounts, brightestCounts, lengths };
}

function lightBins(light: LightPlan | null): number {
  if (light === null) return 0;
  return light.kind === 'scene' ? light.binReflectance.length : light.binNits.length;
}

/**
 * Bytes of a row of pairs: an odd number of cache lines, so that the rows of one tone do not fall into the
 * same place of the cache.
 */
function pairBytes(bins: number): number {
  const lines = Math.ceil((4 * bins) / 64);
  return 64 * (lines % 2 === 0 ? lines + 1 : lines);
}

function placeScratch(space: MemoryPlan, { layout, geometry }: PicturePlan): Scratch {
  const { width, height, chromaWidth } = geometry;
  const block = (samples: number): number =>
    space.take(layout.bytesPerSample === 1 ? 2 * BLOCK * samples : 0);
  /** So many rows of all three channels. */
  const steps = (rows: number): number => space.take(rows * 3 * 4 * (width + ROW_ROOM));
  const shorts = (rows: number): number => space.take(rows * 3 * 2 * (width + SHORT_ROW_ROOM));
  /** The filter keeps as many rows of interlaced pictures. */
  const filtered = 5;
  return {
    first: block(width),
    before: block(width),
    second: block(chromaWidth),
    third: block(chromaWidth),
    spare: shorts(1),
    shortMost: space.take(2 * height),
    shortLeast: space.take(2 * height),
    firstMarked: space.take(4 * height),
    lastMarked: space.take(4 * height),
    padded: steps(1),
    filtered: steps(filtered),
    filteredNumbers: space.take(4 * filtered),
    shortPadded: shorts(1),
    shortFiltered: shorts(filtered),
    shortFilteredNumbers: space.take(4 * filtered),
    unsure: space.take(4 * width),
  };
}

function placeCells(space: MemoryPlan, { geometry }: PicturePlan): Cells {
  const { size, columns, rows } = cellGrid(geometry.width, geometry.height);
  const sum = (): CellSum => ({
    cells: space.take(4 * columns * rows),
    running: space.take(2 * (geometry.width + 16)),
  });
  return {
    ...{ size, columns },
    ...{ first: sum(), second: sum(), third: sum() },
    ...{ changeEven: sum(), changeOdd: sum(), weaveEven: sum(), weaveOdd: sum() },
    ...{ roughFrame: sum(), roughField: sum() },
  };
}
