import { chromaLevels, lumaLevels } from '../../../../signal/quantise.js';
import type { FrameFeatures } from '../kernel/frame-features.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import type { FrameStudy } from '../recording/frame-study.js';
import { CellLikeness, cellDifference, cellPixels, STRETCH } from './cell-likeness.js';
import { frameBars } from './frame-bars.js';
import { narrowestSpan, samplesBetween, samplesIn } from './histogram-shares.js';
import {
  BAR_LEVEL,
  BRIGHT_LEVEL,
  DARK_LEVEL,
  DRIFT_FRAMES,
  FLAT_AREA,
  TEMPORAL_COLUMNS,
  type TemporalColumn,
} from './temporal-columns.js';

/** What the codes of one plane mean: `zero` is signal 0, `range` codes are a signal of 1. */
interface PlaneLevels {
  readonly zero: number;
  readonly range: number;
  readonly darkFrom: number;
  readonly darkTo: number;
}

/** Keeps of every frame what black, freezes, repeats, short shots, flat colours and bars are found by. */
export class TemporalStudy implements FrameStudy<TemporalColumn> {
  readonly columns = TEMPORAL_COLUMNS;
  readonly memory = DRIFT_FRAMES;
  readonly #pixels: number;
  readonly #width: number;
  readonly #height: number;
  readonly #levels: readonly [PlaneLevels, ...PlaneLevels[]];
  readonly #topCode: number;
  /** Cell sums of plane 0 of the frames before, by frame number modulo the length. */
  readonly #cells: Uint32Array[] = [];
  #seen = 0;
  #likeness: CellLikeness | null = null;

  constructor(plan: PicturePlan) {
    const { layout, geometry, meaning, scale } = plan;
    this.#width = geometry.width;
    this.#height = geometry.height;
    this.#pixels = geometry.lumaSamples;
    this.#topCode = scale.topCode;
    const { black, white } = lumaLevels(layout.depth, meaning.range);
    const range = white - black;
    const tone = { zero: black, range, darkFrom: 0, darkTo: black + DARK_LEVEL * range };
    const chroma = chromaLevels(layout.depth, meaning.range);
    const span = chroma.max - chroma.min;
    const colour = {
      zero: chroma.neutral,
      range: span,
      darkFrom: chroma.neutral - DARK_LEVEL * span,
      darkTo: chroma.neutral + DARK_LEVEL * span,
    };
    this.#levels =
      layout.model === 'ycbcr'
        ? [tone, colour, colour]
        : layout.model === 'rgb'
          ? [tone, tone, tone]
          : [tone];
  }

  observe(features: FrameFeatures): Record<TemporalColumn, number> {
    const numbers = {
      ...this.#tones(features),
      ...this.#changes(features),
      ...this.#bars(features),
    };
    this.#keep(features);
    return numbers;
  }

  #tones({ histograms, cells }: FrameFeatures) {
    const [tone] = this.#levels;
    let darkArea = 1;
    let flatSpread = 0;
    const middles = [Number.NaN, Number.NaN, Number.NaN];
    this.#levels.forEach((levels, plane) => {
      const histogram = histograms[plane];
      if (histogram === undefined) return;
      const samples = samplesIn(histogram);
      const dark = samplesBetween(histogram, levels.darkFrom, levels.darkTo);
      // Where the planes are dark in different places the picture is less dark than this: it errs towards
      // seeing black.
      darkArea = Math.min(darkArea, dark / samples);
      const span = narrowestSpan(histogram, FLAT_AREA);
      if (span === null) return;
      flatSpread = Math.max(flatSpread, (span.to - span.from) / levels.range);
      middles[plane] = ((span.from + span.to) / 2 - levels.zero) / levels.range;
    });
    const first = histograms[0] ?? new Uint32Array(0);
    const brightFrom = Math.floor(tone.zero + BRIGHT_LEVEL * tone.range) + 1;
    const sum = sumOf(cells.sums[0] ?? new Uint32Array(0));
    return {
      darkArea,
      brightArea: samplesBetween(first, brightFrom, this.#topCode) / this.#pixels,
      flatSpread,
      flatFirst: middles[0] ?? Number.NaN,
      flatSecond: middles[1] ?? Number.NaN,
      flatThird: middles[2] ?? Number.NaN,
      mean: (sum / this.#pixels - tone.zero) / tone.range,
    };
  }

  #changes({ cells, change }: FrameFeatures) {
    const [{ zero, range }] = this.#levels;
    const now = cells.sums[0] ?? new Uint32Array(0);
    const back = (frames: number): Uint32Array | undefined =>
      frames > this.#seen ? undefined : this.#cells[(this.#seen - frames) % DRIFT_FRAMES];
    const cellChange = (frames: number): number => {
      const before = back(frames);
      return before === undefined ? Number.NaN : cellDifference(now, before) / this.#pixels / range;
    };
    const before = back(1);
    this.#likeness ??= new CellLikeness(cellPixels(cells, this.#width, this.#height), {
      black: zero + BAR_LEVEL * range,
      range,
      topCode: this.#topCode,
    });
    const totals = cellTotals(change);
    const likeness = before === undefined ? null : this.#likeness.compare(now, before);
    return {
      changeMean: change === null ? Number.NaN : totals.sum / this.#pixels / range,
      changeMost: change === null ? Number.NaN : change.most / range,
      changeSpread: change === null ? Number.NaN : totals.sum ** 2 / totals.squares / change.even.length,
      cellChange1: cellChange(1),
      cellChange2: cellChange(2),
      cellChange3: cellChange(3),
      cellDrift: cellChange(DRIFT_FRAMES),
      unlike: likeness?.unlike ?? Number.NaN,
      brightened: likeness?.brightened ?? Number.NaN,
    };
  }

  #bars(features: FrameFeatures) {
    const [{ zero, range, darkTo }] = this.#levels;
    const bars = frameBars(features, zero + BAR_LEVEL * range, darkTo);
    if (bars === null) {
      const none = Number.NaN;
      return {
        barTop: none,
        barBottom: none,
        barLeft: none,
        barRight: none,
        pictureTop: none,
        pictureBottom: none,
        pictureLeft: none,
        pictureRight: none,
        barEdges: 0,
        sharpEdges: 0,
        fullEdges: 0,
        darkInside: none,
      };
    }
    const { top, bottom, left, right } = bars;
    const inside = (this.#width - left - right) * (this.#height - top - bottom);
    const dark = samplesBetween(features.histograms[0] ?? new Uint32Array(0), 0, darkTo);
    // Columns are known on every fourth row: a bar may hold a few samples that are not dark.
    const darkInside = Math.max(dark - (this.#pixels - inside), 0) / inside;
    return {
      barTop: top,
      barBottom: bottom,
      barLeft: left,
      barRight: right,
      pictureTop: bars.picture.top,
      pictureBottom: bars.picture.bottom,
      pictureLeft: bars.picture.left,
      pictureRight: bars.picture.right,
      barEdges: bars.edges,
      sharpEdges: bars.sharpEdges,
      fullEdges: bars.fullEdges,
      darkInside,
    };
  }

  #keep({ cells }: FrameFeatures): void {
    const now = cells.sums[0] ?? new Uint32Array(0);
    const slot = this.#seen % DRIFT_FRAMES;
    const kept = this.#cells[slot];
    if (kept === undefined) this.#cells[slot] = now.slice();
    else kept.set(now);
    this.#seen++;
  }
}

interface CellTotals {
  sum: number;
  squares: number;
}

/** Sum of the changes of the cells, and of their squares. */
function cellTotals(change: FrameFeatures['change']): Readonly<CellTotals> {
  const totals = { sum: 0, squares: 0 };
  const cells = change?.even.length ?? 0;
  for (let from = 0; change !== null && from < cells; from += STRETCH) {
    addTotals(totals, change.even, change.odd, from, Math.min(from + STRETCH, cells));
  }
  return totals;
}

function addTotals(totals: CellTotals, even: Uint32Array, odd: Uint32Array, from: number, to: number): void {
  let { sum, squares } = totals;
  for (let i = from; i < to; i++) {
    const cell = (even[i] ?? 0) + (odd[i] ?? 0);
    sum += cell;
    squares += cell * cell;
  }
  totals.sum = sum;
  totals.squares = squares;
}

/** Sum of whole numbers. */
function sumOf(values: Uint32Array): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i] ?? 0;
  return sum;
}
