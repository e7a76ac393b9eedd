import { type FillRow, GamutFilter, type RgbRow, rgbRow } from './gamut-filter.js';
import { greater, lesser } from './integer-extremes.js';
import { type LightMeter, lightMeter } from './light-meter.js';
import type { PictureKernel, PicturePlan } from './picture-kernel.js';
import { type Extremes, FrameTable, Histogram, type PictureTotals } from './picture-totals.js';
import { planeRows } from './plane-rows.js';
import { isReserved } from './signal-limits.js';

/** Bins of R'G'B' are one code wide up to this depth, so that the tables stay small. */
const FINEST_RGB_DEPTH = 12;
/** Counters are folded before this many samples, well inside 32 bits. */
const FOLD_SAMPLES = 2 ** 31;

interface RgbCounters {
  readonly red: Histogram;
  readonly green: Histogram;
  readonly blue: Histogram;
}

/**
 * The kernel in plain TypeScript, one row at a time: the row's R', G', B' in steps, then the passes over them.
 *
 * Chroma of subsampled pictures is used as it stands: each chroma sample counts for the 2 (or 2x2) pixels it was made
 * for. Inside areas larger than that every figure is exact; at a sharp coloured edge the true R'G'B' depend on the
 * interpolation of the display, and the figures may be off there by what the edge's chroma leaves open.
 */
export class ScalarKernel implements PictureKernel {
  readonly frame: Uint8Array;
  readonly #plan: PicturePlan;
  readonly #codes: Uint16Array;
  readonly #widen: boolean;
  readonly #table = new FrameTable();
  readonly #luma: Histogram | null;
  readonly #cb: Histogram | null;
  readonly #cr: Histogram | null;
  readonly #rgb: RgbCounters | null;
  readonly #rgbShift: number;
  readonly #rgbFrom: number;
  readonly #row: RgbRow;
  readonly #fill: FillRow | null;
  readonly #gamut: GamutFilter | null;
  readonly #light: LightMeter | null;
  #pending = 0;
  #least = 0;
  #most = 0;

  constructor(plan: PicturePlan) {
    const { layout, geometry, scale, limits, light, meaning } = plan;
    this.#plan = plan;
    this.frame = new Uint8Array(geometry.frameBytes);
    this.#widen = layout.bytesPerSample === 1;
    this.#codes = this.#widen
      ? new Uint16Array(geometry.frameBytes)
      : new Uint16Array(this.frame.buffer, 0, geometry.frameBytes / 2);
    const codes = (): Histogram => new Histogram(scale.topCode + 1);
    this.#luma = layout.model === 'rgb' ? null : codes();
    this.#cb = layout.model === 'ycbcr' ? codes() : null;
    this.#cr = layout.model === 'ycbcr' ? codes() : null;

    // RGB planes hold whole codes, whose low bits tell the effective depth: kept apart whatever the depth.
    const coarser = layout.model === 'rgb' ? 0 : Math.max(layout.depth - FINEST_RGB_DEPTH, 0);
    this.#rgbShift = scale.shift + coarser;
    const bin = 2 ** this.#rgbShift;
    // Half a code below a bin's first code, so that a value is counted at the code it rounds to.
    this.#rgbFrom = Math.floor(scale.least / bin) * bin - 2 ** (scale.shift - 1);
    const rgbBins = Math.ceil((scale.most - this.#rgbFrom) / bin) + 1;
    const histogram = (): Histogram => new Histogram(rgbBins);
    this.#rgb = meaning.matrix === null ? null : { red: histogram(), green: histogram(), blue: histogram() };

    this.#row = rgbRow(geometry.width);
    this.#fill = planeRows(plan, this.#codes);
    const size = { width: geometry.width, height: geometry.height, interlaced: plan.interlaced };
    this.#gamut = limits && this.#fill && new GamutFilter(size, limits, this.#fill);
    this.#light = light && lightMeter(light, scale);
  }

  measure(): void {
    const { geometry, layout } = this.#plan;
    const { width, height } = geometry;
    if (this.#widen) this.#codes.set(this.frame);
    const samples = Math.max(geometry.lumaSamples, 1);
    if (this.#pending + samples > FOLD_SAMPLES) this.#fold();
    this.#pending += samples;

    const luma = this.#luma && this.#countPlane(this.#luma, 0, geometry.lumaSamples);
    const cb = this.#cb && this.#countPlane(this.#cb, geometry.lumaSamples, geometry.chromaSamples);
    const crStart = geometry.lumaSamples + geometry.chromaSamples;
    const cr = this.#cr && this.#countPlane(this.#cr, crStart, geometry.chromaSamples);
    const rgb = this.#rgb;
    const fill = this.#fill;
    if (rgb && fill) {
      this.#least = 2 ** 31 - 1;
      this.#most = -(2 ** 31);
      this.#light?.startFrame();
      for (let y = 0; y < height; y++) {
        fill(y, 0, width, this.#row);
        this.#measureRow(y, width, rgb);
        this.#light?.measureRow(this.#row, width);
      }
    }
    const light = this.#light?.endFrame(geometry.lumaSamples) ?? null;
    const steps = 2 ** this.#plan.scale.shift;
    const rgbMin = rgb ? this.#least / steps : Number.NaN;
    const rgbMax = rgb ? this.#most / steps : Number.NaN;
    const planes = layout.model === 'rgb' ? [{ min: rgbMin, max: rgbMax }] : [luma, cb, cr];
    this.#table.push({
      lumaMin: luma?.min ?? Number.NaN,
      lumaMax: luma?.max ?? Number.NaN,
      rgbMin,
      rgbMax,
      gamutArea: this.#gamut ? this.#gamut.countOutside() / geometry.lumaSamples : Number.NaN,
      reserved: planes.some((p) => p && (isReserved(p.min, layout.depth) || isReserved(p.max, layout.depth)))
        ? 1
        : 0,
      lightMax: light?.max ?? Number.NaN,
      lightAverage: light?.average ?? Number.NaN,
      lightP9999: light?.p9999 ?? Number.NaN,
      p3Area: light?.outsideP3 ?? Number.NaN,
    });
  }

  finish(): PictureTotals {
    this.#fold();
    const { scale, geometry } = this.#plan;
    const steps = 2 ** scale.shift;
    const rgb = this.#rgb;
    return {
      frames: this.#table.frames,
      pixelsPerFrame: geometry.lumaSamples,
      luma: this.#luma?.sums ?? null,
      cb: this.#cb?.sums ?? null,
      cr: this.#cr?.sums ?? null,
      rgb: rgb && {
        red: rgb.red.sums,
        green: rgb.green.sums,
        blue: rgb.blue.sums,
        firstCode: (this.#rgbFrom + 2 ** (scale.shift - 1)) / steps,
        codesPerBin: 2 ** this.#rgbShift / steps,
      },
      light: this.#light?.light.sums ?? null,
      brightest: this.#light?.brightest?.sums ?? null,
      columns: this.#table.finish(),
    };
  }

  #fold(): void {
    if (this.#rgb) for (const histogram of Object.values(this.#rgb)) histogram.fold();
    this.#light?.fold();
    this.#pending = 0;
  }

  /** Counts a plane into a histogram that was empty, and reads the extremes off it. */
  #countPlane(histogram: Histogram, start: number, samples: number): Extremes {
    const codes = this.#codes;
    const counts = histogram.counts;
    const top = this.#plan.scale.topCode;
    for (let i = start, end = start + samples; i < end; i++) {
      const raw = codes[i] ?? 0;
      const code = raw < top ? raw : top;
      counts[code] = (counts[code] ?? 0) + 1;
    }
    return histogram.fold();
  }

  /** Extremes, histograms, and where the R 103 tolerance is left. One loop: the four counts do not wait for one another. */
  #measureRow(y: number, width: number, rgb: RgbCounters): void {
    const { red, green, blue } = this.#row;
    const reds = rgb.red.counts;
    const greens = rgb.green.counts;
    const blues = rgb.blue.counts;
    const from = this.#rgbFrom;
    const shift = this.#rgbShift;
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
      const redBin = (r - from) >> shift;
      const greenBin = (g - from) >> shift;
      const blueBin = (b - from) >> shift;
      reds[redBin] = (reds[redBin] ?? 0) + 1;
      greens[greenBin] = (greens[greenBin] ?? 0) + 1;
      blues[blueBin] = (blues[blueBin] ?? 0) + 1;
    }
    this.#least = least;
    this.#most = most;
    if (first >= 0) this.#gamut?.mark(y, first, last);
  }
}
