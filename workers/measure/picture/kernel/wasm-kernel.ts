import type { PicturePlan } from '../plan/picture-plan.js';
import { cellGrid, type FrameFeatures } from './frame-features.js';
import { type FramePlane, planesOf } from './frame-planes.js';
import { kernelMemory } from './kernel-memory.js';
import { COMPILED_IN, kernelSettings } from './kernel-settings.js';
import type { FrameLight, FrameReading, PictureKernel } from './picture-kernel.js';

interface Exports {
  readonly measureFrame: (frame: number, previous: number) => void;
  readonly widen: (from: number, to: number, samples: number) => void;
}

/** Figures the kernel leaves in its globals. */
const RESULTS = [
  'leastStep',
  'mostStep',
  'mostChange',
  'outsideR103',
  'outsideP3',
  'brightestRed',
  'brightestGreen',
  'brightestBlue',
] as const;
type Result = (typeof RESULTS)[number];

/**
 * The kernel in WebAssembly: every figure equal to the scalar kernel's, many times as fast. Frames lie in its memory, which is shared, so that a
 * reader in another thread can fill one slot while another is measured.
 */
export class WasmKernel implements PictureKernel {
  readonly slots: readonly Uint8Array[];
  readonly #plan: PicturePlan;
  readonly #memory: ReturnType<typeof kernelMemory>;
  readonly #exports: Exports;
  readonly #results: Readonly<Record<Result, WebAssembly.Global>>;
  readonly #framePlanes: readonly (readonly FramePlane[])[];
  readonly #clear: readonly Uint32Array[];
  #measured = 0;
  /** Slot of the frame measured last. */
  #current = 0;
  #isWidened = false;

  /** Throws WebAssembly errors where the memory cannot be had. */
  constructor(plan: PicturePlan, module: WebAssembly.Module) {
    this.#plan = plan;
    const memory = kernelMemory(plan);
    this.#memory = memory;
    this.slots = memory.slots;
    const instance = new WebAssembly.Instance(module, {
      env: { memory: memory.memory },
      // Constants by name: one that is missing does not link.
      state: kernelSettings(plan, memory),
    });
    for (const [name, value] of Object.entries(COMPILED_IN)) {
      if (exportedGlobal(instance, name).value !== value) {
        throw new Error(`the measuring kernel was built for another ${name}: npm run build`);
      }
    }
    this.#exports = {
      measureFrame: exportedFunction(instance, 'measureFrame'),
      widen: exportedFunction(instance, 'widen'),
    };
    const result = (name: Result): WebAssembly.Global => exportedGlobal(instance, name);
    this.#results = {
      leastStep: result('leastStep'),
      mostStep: result('mostStep'),
      mostChange: result('mostChange'),
      outsideR103: result('outsideR103'),
      outsideP3: result('outsideP3'),
      brightestRed: result('brightestRed'),
      brightestGreen: result('brightestGreen'),
      brightestBlue: result('brightestBlue'),
    };
    this.#framePlanes = memory.codes.map((codes) => planesOf(plan, codes));
    const { counts } = memory;
    this.#clear = Object.values(counts).map(({ view }) => view);
  }

  measure(frame: number): FrameReading {
    const { slotAddresses } = this.#memory;
    const slots = slotAddresses.length;
    const current = slotAddresses[frame % slots];
    const previous = this.#measured === 0 ? 0 : slotAddresses[(frame + slots - 1) % slots];
    if (current === undefined) throw new RangeError(`no slot for frame ${frame}`);
    for (const view of this.#clear) view.fill(0);
    this.#exports.measureFrame(current, previous ?? 0);
    this.#current = frame % slots;
    this.#isWidened = false;
    const isFirst = this.#measured === 0;
    this.#measured++;
    return this.#reading(frame, isFirst);
  }

  get planes(): readonly FramePlane[] {
    const { slotAddresses, widened } = this.#memory;
    if (widened === 0) return this.#framePlanes[this.#current] ?? [];
    if (!this.#isWidened) {
      this.#exports.widen(slotAddresses[this.#current] ?? 0, widened, this.#plan.geometry.frameBytes);
      this.#isWidened = true;
    }
    return this.#framePlanes[0] ?? [];
  }

  #reading(frame: number, isFirst: boolean): FrameReading {
    const { counts } = this.#memory;
    const { layout, meaning, light } = this.#plan;
    const hasRgb = meaning.matrix !== null;
    // Grey is its own R', G' and B', one count for all.
    const rgb = {
      red: counts.red.view,
      green: counts.green.view,
      blue: counts.blue.view,
    };
    const planes =
      layout.model === 'rgb'
        ? [rgb.green, rgb.blue, rgb.red].map((view) => view.subarray(0, this.#plan.scale.topCode + 1))
        : layout.model === 'grey'
          ? [counts.luma.view]
          : [counts.luma.view, counts.cb.view, counts.cr.view];
    return {
      features: this.#features(frame, planes, isFirst),
      rgb: hasRgb ? rgb : null,
      leastStep: this.#result('leastStep'),
      mostStep: this.#result('mostStep'),
      outsideR103: this.#result('outsideR103'),
      light: light === null ? null : this.#light(light.kind),
    };
  }

  #features(frame: number, histograms: readonly Uint32Array[], isFirst: boolean): FrameFeatures {
    const { geometry, layout } = this.#plan;
    const { extremes, cells } = this.#memory;
    return {
      frame,
      histograms,
      ...extremes,
      cells: {
        ...cellGrid(geometry.width, geometry.height),
        sums: layout.model === 'grey' ? cells.sums.slice(0, 1) : cells.sums,
        roughness: { frame: cells.roughFrame, field: cells.roughField },
      },
      change: isFirst
        ? null
        : {
            even: cells.changeEven,
            odd: cells.changeOdd,
            most: this.#result('mostChange'),
            weave: { even: cells.weaveEven, odd: cells.weaveOdd },
          },
    };
  }

  #light(kind: 'absolute' | 'displayed' | 'scene'): FrameLight {
    const { counts } = this.#memory;
    const most = this.#result('mostStep');
    return {
      counts: counts.light.view,
      brightest: kind === 'scene' ? counts.brightest.view : null,
      peak:
        kind === 'scene'
          ? null
          : kind === 'absolute'
            ? [most, most, most]
            : [this.#result('brightestRed'), this.#result('brightestGreen'), this.#result('brightestBlue')],
      outsideP3: this.#result('outsideP3'),
    };
  }

  #result(name: Result): number {
    return Number(this.#results[name].value);
  }
}

function exportedGlobal(instance: WebAssembly.Instance, name: string): WebAssembly.Global {
  const found = instance.exports[name];
  if (!(found instanceof WebAssembly.Global)) throw new Error(`the measuring kernel has no ${name}`);
  return found;
}

function exportedFunction(instance: WebAssembly.Instance, name: string): (...values: number[]) => void {
  const found = instance.exports[name];
  if (typeof found !== 'function') throw new Error(`the measuring kernel has no ${name}`);
  return (...values) => {
    found(...values);
  };
}
