import type { PicturePlan } from '../plan/picture-plan.js';
import { type CellChange, cellGrid, type FrameFeatures } from './frame-features.js';
import { type FramePlane, planesOf } from './frame-planes.js';
import { writeJob } from './kernel-job.js';
import { type KernelMemory, kernelMemory } from './kernel-memory.js';
import type { FrameLight, FrameReading, PictureKernel } from './picture-kernel.js';
import { addressOf, allRecordBytes, readRecord } from './record-memory.js';
import { Job, Results } from './records.js';
import { KERNEL_BYTES } from './sizes.js';

/**
 * The kernel in WebAssembly: every figure equal to the scalar kernel's, many times as fast. Frames lie in its
 * memory, which is shared, so that a reader in another thread can fill one slot while another is measured.
 */
export class WasmKernel implements PictureKernel {
  readonly slots: readonly Uint8Array[];
  readonly #plan: PicturePlan;
  readonly #memory: KernelMemory;
  readonly #views: KernelViews;
  readonly #measureFrame: KernelFunction;
  readonly #widen: KernelFunction;
  #measured = 0;
  /** Slot of the frame measured last. */
  #current = 0;
  #isWidened = false;

  /** Throws WebAssembly errors where the memory cannot be had. */
  constructor(plan: PicturePlan, module: WebAssembly.Module) {
    this.#plan = plan;
    const memory = kernelMemory(plan);
    this.#memory = memory;
    this.#views = kernelViews(plan, memory);
    this.slots = this.#views.slots;
    writeJob(plan, memory);
    const instance = new WebAssembly.Instance(module, { env: { memory: memory.memory } });
    requireSameRecords(instance);
    this.#measureFrame = exportedFunction(instance, 'measureFrame');
    this.#widen = exportedFunction(instance, 'widen');
  }

  measure(frame: number): FrameReading {
    const { slots, job } = this.#memory;
    const current = slots[frame % slots.length];
    const isFirst = this.#measured === 0;
    const previous = isFirst ? 0 : slots[(frame + slots.length - 1) % slots.length];
    if (current === undefined) throw new RangeError(`no slot for frame ${frame}`);
    for (const view of Object.values(this.#views.counts)) view.fill(0);
    this.#measureFrame(addressOf(job, ''), current, previous ?? 0);
    this.#current = frame % slots.length;
    this.#isWidened = false;
    this.#measured++;
    return this.#reading(frame, isFirst);
  }

  get planes(): readonly FramePlane[] {
    const { slots, widened } = this.#memory;
    const { framePlanes } = this.#views;
    if (widened === 0) return framePlanes[this.#current] ?? [];
    if (!this.#isWidened) {
      this.#widen(slots[this.#current] ?? 0, widened, this.#plan.geometry.frameBytes);
      this.#isWidened = true;
    }
    return framePlanes[0] ?? [];
  }

  #reading(frame: number, isFirst: boolean): FrameReading {
    const { layout, meaning, light, scale } = this.#plan;
    const { luma, cb, cr, red, green, blue } = this.#views.counts;
    const results = readRecord(
      this.#memory.memory.buffer,
      addressOf(this.#memory.job, 'results'),
      new Results(),
    );
    const planes =
      layout.model === 'rgb'
        ? [green, blue, red].map((view) => view.subarray(0, scale.topCode + 1))
        : layout.model === 'grey'
          ? [luma]
          : [luma, cb, cr];
    return {
      features: this.#features(frame, planes, isFirst ? null : results.mostChange),
      // Grey is its own R', G' and B', one count for all.
      rgb: meaning.matrix === null ? null : { red, green, blue },
      leastStep: results.leastStep,
      mostStep: results.mostStep,
      outsideR103: results.outsideR103,
      light: light === null ? null : this.#light(light.kind, results),
    };
  }

  /** @param mostChange null for the first frame */
  #features(frame: number, histograms: readonly Uint32Array[], mostChange: number | null): FrameFeatures {
    const { geometry, layout } = this.#plan;
    const { extremes, cells } = this.#views;
    const sums = [cells.first, cells.second, cells.third];
    const change: CellChange | null =
      mostChange === null
        ? null
        : {
            even: cells.changeEven,
            odd: cells.changeOdd,
            most: mostChange,
            weave: { even: cells.weaveEven, odd: cells.weaveOdd },
          };
    return {
      frame,
      histograms,
      ...extremes,
      cells: {
        ...cellGrid(geometry.width, geometry.height),
        sums: layout.model === 'grey' ? sums.slice(0, 1) : sums,
        roughness: { frame: cells.roughFrame, field: cells.roughField },
      },
      change,
    };
  }

  #light(kind: 'absolute' | 'displayed' | 'scene', results: Results): FrameLight {
    const { light, brightest } = this.#views.counts;
    const { mostStep, brightestRed, brightestGreen, brightestBlue, outsideP3 } = results;
    return {
      counts: light,
      brightest: kind === 'scene' ? brightest : null,
      peak:
        kind === 'scene'
          ? null
          : kind === 'absolute'
            ? [mostStep, mostStep, mostStep]
            : [brightestRed, brightestGreen, brightestBlue],
      outsideP3,
    };
  }
}

type KernelViews = ReturnType<typeof kernelViews>;

/** What a kernel leaves in its memory, as arrays. */
function kernelViews(plan: PicturePlan, memory: KernelMemory) {
  const { geometry, layout } = plan;
  const { histograms, lightCounts, brightestCounts, lengths, extremes, cells, slots, widened } = memory;
  const { buffer } = memory.memory;
  const counts = (address: number, length: number): Uint32Array => new Uint32Array(buffer, address, length);
  const codes = (address: number, length: number): Uint16Array => new Uint16Array(buffer, address, length);
  const { columns, rows } = cellGrid(geometry.width, geometry.height);
  const sums = ({ cells: address }: { readonly cells: number }) => counts(address, columns * rows);
  return {
    slots: slots.map((address) => new Uint8Array(buffer, address, geometry.frameBytes)),
    /** The planes of each slot as 16-bit codes, or those of the one place where bytes are widened. */
    framePlanes: (widened === 0 ? slots : [widened]).map((address) =>
      planesOf(plan, codes(address, geometry.frameBytes / layout.bytesPerSample)),
    ),
    counts: {
      luma: counts(histograms.luma.counts, lengths.luma),
      cb: counts(histograms.cb.counts, lengths.cb),
      cr: counts(histograms.cr.counts, lengths.cr),
      red: counts(histograms.red.counts, lengths.red),
      green: counts(histograms.green.counts, lengths.green),
      blue: counts(histograms.blue.counts, lengths.blue),
      light: counts(lightCounts, lengths.light),
      brightest: counts(brightestCounts, lengths.brightest),
    },
    extremes: {
      rowMin: codes(extremes.rowMin, geometry.height),
      rowMax: codes(extremes.rowMax, geometry.height),
      columnMin: codes(extremes.columnMin, geometry.width),
      columnMax: codes(extremes.columnMax, geometry.width),
    },
    cells: {
      first: sums(cells.first),
      second: sums(cells.second),
      third: sums(cells.third),
      changeEven: sums(cells.changeEven),
      changeOdd: sums(cells.changeOdd),
      weaveEven: sums(cells.weaveEven),
      weaveOdd: sums(cells.weaveOdd),
      roughFrame: sums(cells.roughFrame),
      roughField: sums(cells.roughField),
    },
  };
}

type KernelFunction = (...values: number[]) => unknown;

function exportedFunction(instance: WebAssembly.Instance, name: string): KernelFunction {
  const found = instance.exports[name];
  if (typeof found !== 'function') throw new Error(`the measuring kernel has no ${name}`);
  return (...values): unknown => found(...values);
}

/** A kernel that was built with other records would measure wrong values. */
function requireSameRecords(instance: WebAssembly.Instance): void {
  const bytes = exportedFunction(instance, 'recordBytes')();
  const end = Number(exportedFunction(instance, 'ownEnd')());
  if (bytes !== allRecordBytes(new Job()) || end > KERNEL_BYTES) {
    throw new Error('the measuring kernel was built with other records: run npm run build');
  }
}
