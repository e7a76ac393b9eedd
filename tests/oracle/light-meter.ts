import type { Matrix3, Vector3 } from '../../signal/matrix3.js';
import type { FrameLight } from '../../workers/measure/picture/kernel/picture-kernel.js';
import type { CodeScale } from '../../workers/measure/picture/plan/code-scale.js';
import {
  type AbsoluteLight,
  type DisplayedLight,
  type LightPlan,
  P3_FLOOR_NITS,
  P3_TOLERANCE,
  type SceneLight,
} from '../../workers/measure/picture/plan/light.js';
import {
  FLOAT_BIN_BASE,
  FLOAT_BIN_SHIFT,
  FLOAT_BINS,
  LIGHT_STEP_BITS,
  POWER_SHIFT,
  PQ_BIN_BITS,
  SHORT_BITS,
} from '../../workers/measure/picture/plan/step-bits.js';
import type { RgbRow } from '../../workers/measure/picture/rows/gamut-filter.js';
import { greater } from '../../workers/measure/picture/rows/integer-extremes.js';

const f = Math.fround;
const HALF_PQ_BIN = 2 ** (PQ_BIN_BITS - 1);

/** Light of the pixels of a frame, row by row. */
export interface LightMeter {
  startFrame(): void;
  /** @param counted the sums by which light is counted, those of the row or its short ones. */
  measureRow(row: RgbRow, width: number, counted: RgbRow): void;
  endFrame(): FrameLight;
}

/** @param step every so many pixels of a row are counted by light of the scene: those of `countedPixels`. */
export function lightMeter(plan: LightPlan, scale: CodeScale, step: number): LightMeter {
  if (plan.kind === 'absolute') return new AbsoluteMeter(plan, scale);
  return plan.kind === 'displayed' ? new DisplayedMeter(plan, scale) : new SceneMeter(plan, scale, step);
}

/** PQ. CTA-861.3: the light of a pixel is that of the largest of R, G, B. */
class AbsoluteMeter implements LightMeter {
  readonly #counts: Uint32Array;
  readonly #plan: AbsoluteLight;
  readonly #scale: CodeScale;
  #most = 0;
  #outside = 0;

  constructor(plan: AbsoluteLight, scale: CodeScale) {
    this.#plan = plan;
    this.#scale = scale;
    this.#counts = new Uint32Array(plan.binNits.length);
  }

  startFrame(): void {
    this.#counts.fill(0);
    this.#most = -(2 ** 31);
    this.#outside = 0;
  }

  measureRow(row: RgbRow, width: number, counted: RgbRow): void {
    const { red, green, blue } = row;
    const { p3, binNits } = this.#plan;
    const counts = this.#counts;
    const lastBin = binNits.length - 1;
    const from = this.#scale.black - HALF_PQ_BIN;
    let most = this.#most;
    for (let x = 0; x < width; x++) {
      const r = red[x] ?? 0;
      const g = green[x] ?? 0;
      const b = blue[x] ?? 0;
      const max = greater(greater(r, g), b);
      if (max > most) most = max;
      const peak = greater(greater(counted.red[x] ?? 0, counted.green[x] ?? 0), counted.blue[x] ?? 0);
      const step = (peak - from) >> PQ_BIN_BITS;
      const bin = step < 0 ? 0 : step > lastBin ? lastBin : step;
      counts[bin] = (counts[bin] ?? 0) + 1;
      if (p3 && this.#isOutside(p3.toP3, r, g, b)) this.#outside++;
    }
    this.#most = most;
  }

  endFrame(): FrameLight {
    return {
      counts: this.#counts,
      brightest: null,
      peak: [this.#most, this.#most, this.#most],
      outsideP3: this.#outside,
    };
  }

  #isOutside(toP3: Matrix3, r: number, g: number, b: number): boolean {
    const { linear, tableFrom } = this.#plan;
    const red = linear[(r - tableFrom) >> LIGHT_STEP_BITS] ?? 0;
    const green = linear[(g - tableFrom) >> LIGHT_STEP_BITS] ?? 0;
    const blue = linear[(b - tableFrom) >> LIGHT_STEP_BITS] ?? 0;
    return isOutsideP3(toP3, red, green, blue, P3_FLOOR_NITS);
  }
}

/** HLG through the OOTF of its display, by the fifth power of its light. */
class DisplayedMeter implements LightMeter {
  readonly #counts: Uint32Array;
  readonly #plan: DisplayedLight;
  readonly #black: Vector3;
  /** One float seen as its bits. */
  readonly #float = new Float32Array(1);
  readonly #bits = new Int32Array(this.#float.buffer);
  #most = 0;
  #brightest: Vector3 = [0, 0, 0];
  #outside = 0;

  constructor(plan: DisplayedLight, { black }: CodeScale) {
    this.#plan = plan;
    this.#black = [black, black, black];
    this.#counts = new Uint32Array(plan.binNits.length);
  }

  startFrame(): void {
    this.#counts.fill(0);
    this.#most = this.#plan.floorPower;
    this.#brightest = this.#black;
    this.#outside = 0;
  }

  measureRow(row: RgbRow, width: number, counted: RgbRow): void {
    const { red, green, blue } = row;
    const { p3, p3FloorPower } = this.#plan;
    const exact = tableLight(this.#plan);
    const inBins = counted === row ? exact : shortLight(this.#plan);
    for (let x = 0; x < width; x++) {
      const r = exact(red[x] ?? 0);
      const g = exact(green[x] ?? 0);
      const b = exact(blue[x] ?? 0);
      const power = this.#power(r, g, b);
      if (power > this.#most) {
        this.#most = power;
        this.#brightest = [red[x] ?? 0, green[x] ?? 0, blue[x] ?? 0];
      }
      if (p3 && power >= p3FloorPower && isOutsideP3(p3.toP3, r, g, b, 0)) this.#outside++;
      this.#count(
        this.#power(inBins(counted.red[x] ?? 0), inBins(counted.green[x] ?? 0), inBins(counted.blue[x] ?? 0)),
      );
    }
  }

  endFrame(): FrameLight {
    return { counts: this.#counts, brightest: null, peak: this.#brightest, outsideP3: this.#outside };
  }

  /**
   * Single precision, operation by operation: the order is part of the definition, so that kernels agree to
   * the last bit.
   */
  #power(r: number, g: number, b: number): number {
    const max = r > g ? (r > b ? r : b) : g > b ? g : b;
    const square = f(max * max);
    return f(f(f(square * square) * max) * luminanceOf(this.#plan.luminance, r, g, b));
  }

  #count(power: number): void {
    const { powerBase, binNits } = this.#plan;
    this.#float[0] = power;
    const bin = ((this.#bits[0] ?? 0) >> POWER_SHIFT) - powerBase;
    const held = bin < 0 ? 0 : bin < binNits.length ? bin : binNits.length - 1;
    this.#counts[held] = (this.#counts[held] ?? 0) + 1;
  }
}

/** Light of a channel, given in steps. */
function tableLight({ linear, tableFrom }: LightPlan): (step: number) => number {
  return (step) => linear[(step - tableFrom) >> LIGHT_STEP_BITS] ?? 0;
}

/** The same of a short sum. */
function shortLight({ shortLinear }: LightPlan): (step: number) => number {
  const last = shortLinear.length - 1;
  return (step) => shortLinear[Math.min(Math.max(step >> SHORT_BITS, 0), last)] ?? 0;
}

/** Single precision, addition by addition, which again is part of the definition. */
function luminanceOf([kr, kg, kb]: Vector3, r: number, g: number, b: number): number {
  return f(f(f(f(kr) * r) + f(f(kg) * g)) + f(f(kb) * b));
}

/** Camera logs: luminance of the scene, and where the codes end. */
class SceneMeter implements LightMeter {
  readonly #counts = new Uint32Array(FLOAT_BINS + 1);
  readonly #brightest: Uint32Array;
  readonly #plan: SceneLight;
  readonly #scale: CodeScale;
  readonly #step: number;
  readonly #float = new Float32Array(1);
  readonly #bits = new Int32Array(this.#float.buffer);

  constructor(plan: SceneLight, scale: CodeScale, step: number) {
    this.#plan = plan;
    this.#scale = scale;
    this.#step = step;
    this.#brightest = new Uint32Array(scale.topCode + 1);
  }

  startFrame(): void {
    this.#counts.fill(0);
    this.#brightest.fill(0);
  }

  measureRow(row: RgbRow, width: number, counted: RgbRow): void {
    const { red, green, blue } = counted;
    const light = counted === row ? tableLight(this.#plan) : shortLight(this.#plan);
    const counts = this.#counts;
    const brightest = this.#brightest;
    const { shift, topCode } = this.#scale;
    const half = 2 ** (shift - 1);
    const float = this.#float;
    const bits = this.#bits;
    for (let x = 0; x < width; x += this.#step) {
      const rs = red[x] ?? 0;
      const gs = green[x] ?? 0;
      const bs = blue[x] ?? 0;
      const max = greater(greater(rs, gs), bs);
      const code = (max + half) >> shift;
      const heldCode = code < 0 ? 0 : code > topCode ? topCode : code;
      brightest[heldCode] = (brightest[heldCode] ?? 0) + 1;
      const y = luminanceOf(this.#plan.luminance, light(rs), light(gs), light(bs));
      // Blue of the widest camera gamuts has a negative luminance: what is below zero counts as black.
      float[0] = y > 0 ? y : 0;
      const bin = ((bits[0] ?? 0) >> FLOAT_BIN_SHIFT) - FLOAT_BIN_BASE;
      const held = bin < 0 ? 0 : bin > FLOAT_BINS ? FLOAT_BINS : bin;
      counts[held] = (counts[held] ?? 0) + 1;
    }
  }

  endFrame(): FrameLight {
    return {
      counts: this.#counts,
      brightest: this.#brightest,
      peak: null,
      outsideP3: 0,
    };
  }
}

/**
 * Linear BT.2020 light, any unit: outside P3-D65 by more than the tolerance. Darker than `floor` is not
 * judged. Single precision, the order is part of the definition.
 */
function isOutsideP3(toP3: Matrix3, r: number, g: number, b: number, floor: number): boolean {
  const max = r > g ? (r > b ? r : b) : g > b ? g : b;
  if (max < floor) return false;
  const limit = f(f(-P3_TOLERANCE) * max);
  return toP3.some(([red, green, blue]) => f(f(f(f(red) * r) + f(f(green) * g)) + f(f(blue) * b)) < limit);
}
