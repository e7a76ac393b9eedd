import { type FramePlane, planesOf } from '../../workers/measure/picture/kernel/frame-planes.js';
import type { FrameReading, PictureKernel } from '../../workers/measure/picture/kernel/picture-kernel.js';
import type { PicturePlan } from '../../workers/measure/picture/plan/picture-plan.js';
import {
  countedPixels,
  countsRgbOn,
  type RgbBins,
  rgbBins,
} from '../../workers/measure/picture/plan/rgb-bins.js';
import {
  type FillRow,
  GamutFilter,
  type RgbRow,
  rgbRow,
} from '../../workers/measure/picture/rows/gamut-filter.js';
import { greater, lesser } from '../../workers/measure/picture/rows/integer-extremes.js';
import { planeRows } from '../../workers/measure/picture/rows/plane-rows.js';
import { type LightMeter, lightMeter } from './light-meter.js';
import { scalarFeatures } from './scalar-features.js';
import { shortRows } from './short-rows.js';

interface RgbCounts {
  readonly red: Uint32Array;
  readonly green: Uint32Array;
  readonly blue: Uint32Array;
}

/**
 * The kernel in plain TypeScript, one row at a time: the row's R', G', B' in steps, then the passes over
 * them. It is the oracle the WebAssembly kernel is held to.
 *
 * Chroma of subsampled pictures is used as it stands: each chroma sample counts for the 2 (or 2x2) pixels it
 * was made for. Inside areas larger than that every figure is exact; at a sharp coloured edge the true R'G'B'
 * depend on the interpolation of the display, and the figures may be off there by what the edge's chroma
 * leaves open.
 */
export class ScalarKernel implements PictureKernel {
  readonly slots: readonly Uint8Array[];
  readonly planes: readonly FramePlane[];
  readonly #plan: PicturePlan;
  readonly #codes: Uint16Array;
  readonly #before: Uint16Array;
  #hasBefore = false;
  readonly #bins: RgbBins;
  readonly #rgb: RgbCounts | null;
  readonly #row: RgbRow;
  readonly #fill: FillRow | null;
  readonly #fillCounted: FillRow | null;
  /** The sums that are counted. */
  readonly #counted: RgbRow;
  readonly #gamut: GamutFilter | null;
  readonly #light: LightMeter | null;
  #least = 0;
  #most = 0;

  constructor(plan: PicturePlan) {
    const { geometry, scale, limits, light, meaning, layout } = plan;
    this.#plan = plan;
    this.slots = [new Uint8Array(geometry.frameBytes), new Uint8Array(geometry.frameBytes)];
    this.#codes = new Uint16Array(geometry.frameBytes / layout.bytesPerSample);
    this.#before = new Uint16Array(geometry.lumaSamples);
    this.planes = planesOf(plan, this.#codes);
    this.#bins = rgbBins(plan);
    const counts = (): Uint32Array => new Uint32Array(this.#bins.count);
    this.#rgb = meaning.matrix === null ? null : { red: counts(), green: counts(), blue: counts() };
    this.#row = rgbRow(geometry.width);
    this.#fill = planeRows(plan, this.#codes);
    this.#fillCounted = shortRows(plan, this.#codes);
    this.#counted = this.#fillCounted ? rgbRow(geometry.width) : this.#row;
    const size = { width: geometry.width, height: geometry.height, interlaced: plan.interlaced };
    this.#gamut = limits && this.#fill && new GamutFilter(size, limits, this.#fill);
    this.#light = light && lightMeter(light, scale, countedPixels(plan));
  }

  measure(frame: number): FrameReading {
    const { geometry, layout } = this.#plan;
    const slot = this.slots[frame % this.slots.length];
    if (!slot) throw new RangeError(`no slot for frame ${frame}`);
    const codes = this.#codes;
    this.#before.set(codes.subarray(0, geometry.lumaSamples));
    codes.set(
      layout.bytesPerSample === 1 ? slot : new Uint16Array(slot.buffer, slot.byteOffset, codes.length),
    );
    const features = scalarFeatures(frame, this.#plan, this.planes, this.#hasBefore ? this.#before : null);
    this.#hasBefore = true;

    const rgb = this.#rgb;
    const fill = this.#fill;
    this.#least = 2 ** 31 - 1;
    this.#most = -(2 ** 31);
    if (rgb && fill) {
      for (const counts of Object.values(rgb)) counts.fill(0);
      this.#light?.startFrame();
      for (let y = 0; y < geometry.height; y++) {
        fill(y, 0, geometry.width, this.#row);
        this.#fillCounted?.(y, 0, geometry.width, this.#counted);
        this.#measureRow(y, geometry.width);
        if (countsRgbOn(y, this.#plan)) this.#countRow(geometry.width, rgb);
        this.#light?.measureRow(this.#row, geometry.width, this.#counted);
      }
    }
    return {
      features,
      rgb,
      leastStep: this.#least,
      mostStep: this.#most,
      outsideR103: this.#gamut?.countOutside() ?? 0,
      light: this.#light?.endFrame() ?? null,
    };
  }

  /** Extremes, and where the R 103 tolerance is left. */
  #measureRow(y: number, width: number): void {
    const { red, green, blue } = this.#row;
    const limits = this.#plan.limits;
    const low = limits?.min ?? -(2 ** 31);
    const high = limits?.max ?? 2 ** 31 - 1;
    let least = this.#least;
    let most = this.#most;
    let first = -1;
    let last = -1;
    for (let x = 0; x < width; x++) {
      const r = red[x] ?? 0;
      const g = green[x] ?? 0;
      const b = blue[x] ?? 0;
      const max = greater(greater(r, g), b);
      const min = lesser(lesser(r, g), b);
      if (max > most) most = max;
      if (min < least) least = min;
      if (max > high || min < low) {
        if (first < 0) first = x;
        last = x;
      }
    }
    this.#least = least;
    this.#most = most;
    if (first >= 0) this.#gamut?.mark(y, first, last);
  }

  #countRow(width: number, { red: reds, green: greens, blue: blues }: RgbCounts): void {
    const { red, green, blue } = this.#counted;
    const { from, shift } = this.#bins;
    const step = countedPixels(this.#plan);
    for (let x = 0; x < width; x += step) {
      const redBin = ((red[x] ?? 0) - from) >> shift;
      const greenBin = ((green[x] ?? 0) - from) >> shift;
      const blueBin = ((blue[x] ?? 0) - from) >> shift;
      reds[redBin] = (reds[redBin] ?? 0) + 1;
      greens[greenBin] = (greens[greenBin] ?? 0) + 1;
      blues[blueBin] = (blues[blueBin] ?? 0) + 1;
    }
  }
}
