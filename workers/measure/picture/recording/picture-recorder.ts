import type { Rational } from '../../../../signal/rational.js';
import type { FrameLight, FrameReading, PictureKernel } from '../kernel/picture-kernel.js';
import { exactPeak } from '../plan/light.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import { rgbBins } from '../plan/rgb-bins.js';
import { isReserved } from '../plan/signal-limits.js';
import type { FrameStudy, PlaneStudy, StudyColumns } from './frame-study.js';
import { GrowingColumns } from './growing-columns.js';
import { COLUMN_NAMES, type ColumnName, type FrameColumns, type PictureTotals } from './picture-totals.js';
import { frameStudies, planeStudies } from './studies.js';

/** Share of a frame's pixels its percentile of light leaves below. */
const BRIGHT_SHARE = 0.9999;

/**
 * Runs a kernel over the frames of a stream and collects its results: sums of histograms, a row of figures
 * per frame, and the columns of the studies. Exact whatever the length: counts go into sums of double
 * precision, which are whole numbers up to 2^53.
 */
export class PictureRecorder {
  readonly #plan: PicturePlan;
  readonly #kernel: PictureKernel;
  readonly #table: GrowingColumns<ColumnName>;
  readonly #planes: readonly (Float64Array | null)[];
  readonly #rgb: PictureTotals['rgb'];
  readonly #light: Float64Array | null;
  readonly #brightest: Float64Array | null;
  readonly #frameStudies: readonly RunningStudy[];
  readonly #planeStudies: readonly { readonly name: string; readonly study: PlaneStudy }[];
  readonly #firstFrame: number;
  readonly #lead = new GrowingColumns(COLUMN_NAMES, null);

  /**
   * @param rate null: seconds cannot be counted, and figures that need them are not measured
   * @param firstFrame number in the file of the frame that comes first
   * @param expected how many frames may come; a guess is enough
   */
  constructor(
    plan: PicturePlan,
    kernel: PictureKernel,
    rate: Rational | null,
    firstFrame = 0,
    expected: number | null = null,
  ) {
    this.#plan = plan;
    this.#table = new GrowingColumns(COLUMN_NAMES, expected);
    this.#kernel = kernel;
    this.#firstFrame = firstFrame;
    const { model } = plan.layout;
    const codes = (): Float64Array => new Float64Array(plan.scale.topCode + 1);
    this.#planes = model === 'ycbcr' ? [codes(), codes(), codes()] : model === 'grey' ? [codes()] : [];
    const { count, firstCode, codesPerBin } = rgbBins(plan);
    const bins = (): Float64Array => new Float64Array(count);
    this.#rgb =
      plan.meaning.matrix === null
        ? null
        : { red: bins(), green: bins(), blue: bins(), firstCode, codesPerBin };
    const { light } = plan;
    const lightBins = light?.kind === 'scene' ? light.binReflectance : light?.binNits;
    this.#light = lightBins ? new Float64Array(lightBins.length) : null;
    this.#brightest = light?.kind === 'scene' ? codes() : null;
    this.#frameStudies = frameStudies(plan, rate).map(
      ({ name, study }) => new RunningStudy(name, study, expected),
    );
    this.#planeStudies = planeStudies(plan);
  }

  get slots(): readonly Uint8Array[] {
    return this.#kernel.slots;
  }

  /** Measures the frame that came as the n-th, from 0, and lies in slot n mod the number of slots. */
  measure(index: number): void {
    const reading = this.#read(index);
    const { frame, histograms } = reading.features;
    this.#planes.forEach((sums, index) => {
      addCounts(sums, histograms[index] ?? null);
    });
    if (this.#rgb && reading.rgb) {
      addCounts(this.#rgb.red, reading.rgb.red);
      addCounts(this.#rgb.green, reading.rgb.green);
      addCounts(this.#rgb.blue, reading.rgb.blue);
    }
    addCounts(this.#light, reading.light?.counts ?? null);
    addCounts(this.#brightest, reading.light?.brightest ?? null);
    this.#table.push(this.#row(reading));
    for (const running of this.#frameStudies) running.observe(reading);
    for (const { study } of this.#planeStudies) {
      if (frame % study.every !== 0) continue;
      study.observe({ frame, plan: this.#plan, planes: this.#kernel.planes });
    }
  }

  /**
   * Adds a lead-in frame from before the measured part: the studies remember it, but it is not counted. Its
   * own figures are kept separately, to compare them with those of the previous part for the same frame.
   */
  lookAt(index: number): void {
    const reading = this.#read(index);
    this.#lead.push(this.#row(reading));
    for (const running of this.#frameStudies) running.pass(reading);
  }

  get lead(): FrameColumns {
    return this.#lead.finish();
  }

  finish(): PictureTotals {
    return {
      frames: this.#table.frames,
      pixelsPerFrame: this.#plan.geometry.lumaSamples,
      luma: this.#planes[0] ?? null,
      cb: this.#planes[1] ?? null,
      cr: this.#planes[2] ?? null,
      rgb: this.#rgb,
      light: this.#light,
      brightest: this.#brightest,
      columns: this.#table.finish(),
      studies: Object.fromEntries(this.#frameStudies.map((running) => [running.name, running.finish()])),
      sums: Object.fromEntries(this.#planeStudies.map(({ name, study }) => [name, study.sums()])),
    };
  }

  /** The kernel counts the frames it is given; the studies use the frame numbers of the file. */
  #read(index: number): FrameReading {
    const reading = this.#kernel.measure(index);
    if (this.#firstFrame === 0) return reading;
    return { ...reading, features: { ...reading.features, frame: this.#firstFrame + index } };
  }

  #row(reading: FrameReading): FrameRow {
    return { ...this.#codeFigures(reading), ...this.#lightFigures(reading.light) };
  }

  #codeFigures({ features, leastStep, mostStep, outsideR103, rgb }: FrameReading): FrameRow {
    const { layout, scale, limits, geometry } = this.#plan;
    const steps = 2 ** scale.shift;
    const extremes = features.histograms.map(occupied);
    const isRgb = layout.model === 'rgb';
    const reserved = extremes.some(
      ([min, max]) => max >= 0 && (isReserved(min, layout.depth) || isReserved(max, layout.depth)),
    );
    return {
      lumaMin: isRgb ? Number.NaN : extremes[0]?.[0],
      lumaMax: isRgb ? Number.NaN : extremes[0]?.[1],
      rgbMin: rgb ? leastStep / steps : Number.NaN,
      rgbMax: rgb ? mostStep / steps : Number.NaN,
      gamutArea: limits && rgb ? outsideR103 / geometry.lumaSamples : Number.NaN,
      reserved: reserved ? 1 : 0,
    };
  }

  #lightFigures(light: FrameLight | null): FrameRow {
    const { light: plan, scale, geometry } = this.#plan;
    if (!light?.peak || plan === null || plan.kind === 'scene') return {};
    const pixels = geometry.lumaSamples;
    const max = exactPeak(plan, light.peak, scale);
    return {
      lightMax: max,
      lightAverage: sumOfLight(light.counts, plan.binNits) / pixels,
      // A bin's middle may lie above the one pixel in it.
      lightP9999: Math.min(brightShare(light.counts, plan.binNits, pixels), max),
      p3Area: plan.p3 ? light.outsideP3 / pixels : Number.NaN,
    };
  }
}

type FrameRow = Readonly<Partial<Record<ColumnName, number>>>;

/** A study with its columns. */
class RunningStudy {
  readonly name: string;
  readonly #study: FrameStudy<string>;
  readonly #columns: GrowingColumns<string>;

  constructor(name: string, study: FrameStudy<string>, expected: number | null) {
    this.name = name;
    this.#study = study;
    this.#columns = new GrowingColumns(study.columns, expected);
  }

  /** The study gets a frame that is not recorded. */
  pass({ features }: FrameReading): void {
    this.#study.observe(features);
  }

  observe({ features }: FrameReading): void {
    this.#columns.push(this.#study.observe(features));
  }

  finish(): StudyColumns<string> {
    return this.#columns.finish();
  }
}

function addCounts(sums: Float64Array | null | undefined, counts: Uint32Array | null): void {
  if (!sums || !counts) return;
  for (let i = 0; i < counts.length; i++) {
    const count = counts[i] ?? 0;
    if (count !== 0) sums[i] = (sums[i] ?? 0) + count;
  }
}

function sumOfLight(counts: Uint32Array, binNits: Float64Array): number {
  let sum = 0;
  for (let bin = 0; bin < counts.length; bin++) sum += (counts[bin] ?? 0) * (binNits[bin] ?? 0);
  return sum;
}

/** Lowest and highest code with anything in it; the highest is -1 when there is none. */
function occupied(counts: Uint32Array): readonly [number, number] {
  let min = 0;
  let max = counts.length - 1;
  while (min < counts.length && counts[min] === 0) min++;
  while (max >= 0 && counts[max] === 0) max--;
  return [min, max];
}

/** Light of the darkest bin at or below which 99.99 % of a frame's pixels lie. */
function brightShare(counts: Uint32Array, binNits: Float64Array, pixels: number): number {
  // From the bright end: that is where the answer lies.
  const above = pixels - Math.ceil(pixels * BRIGHT_SHARE);
  let sum = 0;
  for (let bin = counts.length - 1; bin >= 0; bin--) {
    sum += counts[bin] ?? 0;
    if (sum > above) return binNits[bin] ?? Number.NaN;
  }
  return Number.NaN;
}
