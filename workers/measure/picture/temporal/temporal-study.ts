import { chromaLevels } from '../../../../signal/quantise.js';
import type { FrameFeatures } from '../kernel/frame-features.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import type { FrameStudy } from '../recording/frame-study.js';
import { CellLikeness, cellDifference, cellPixels, STRETCH } from './cell-likeness.js';
import { frameBars } from './frame-bars.js';
import { narrowestSpan, samplesBetween, samplesIn } from './histogram-shares.js';
import { lightLevels } from './light-levels.js';
import {
  BAR_LEVEL,
  BRIGHT_LEVEL,
  DARK_LEVEL,
  DRIFT_FRAMES,
  FLAT_AREA,
  TEMPORAL_COLUMNS,
  type TemporalColumn,
} from './temporal-columns.js';

/** What the codes of one plane mean. */
interface PlaneLevels {
  /** Signal of each code. */
  readonly levels: Float64Array;
  readonly darkFrom: number;
  readonly darkTo: number;
}

/** What those of Y', R', G' or B' mean: `zero` is signal 0, `range` codes are from black to white. */
interface ToneLevels extends PlaneLevels {
  readonly zero: number;
  readonly range: number;
  /** Highest code of a black line, and lowest of what shines. */
  readonly barTo: number;
  readonly brightFrom: number;
}

/** Keeps of every frame what black, freezes, repeats, short shots, flat colours and bars are found by. */
export class TemporalStudy implements FrameStudy<TemporalColumn> {
  readonly columns = TEMPORAL_COLUMNS;
  readonly memory = DRIFT_FRAMES;
  readonly #pixels: number;
  readonly #width: number;
  readonly #height: number;
  readonly #levels: readonly [ToneLevels, ...PlaneLevels[]];
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
    const light = lightLevels(layout.depth, meaning);
    const codes = (levelOf: (code: number) => number): Float64Array =>
      Float64Array.from({ length: scale.topCode + 1 }, (_, code) => levelOf(code));
    const tone: ToneLevels = {
      zero: light.zero,
      range: light.range,
      levels: codes(light.levelOf),
      darkFrom: 0,
      darkTo: light.codeAt(DARK_LEVEL),
      barTo: light.codeAt(BAR_LEVEL),
      brightFrom: Math.floor(light.codeAt(BRIGHT_LEVEL)) + 1,
    };
    const { neutral, min, max } = chromaLevels(layout.depth, meaning.range);
    const span = max - min;
    const colour: PlaneLevels = {
      levels: codes((code) => (code - neutral) / span),
      darkFrom: neutral - DARK_LEVEL * span,
      darkTo: neutral + DARK_LEVEL * span,
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
      const span = narrowestSpan(histogram, FLAT_AREA, levels.levels);
      if (span === null) return;
      const [lowest, highest] = [levels.levels[span.from] ?? 0, levels.levels[span.to] ?? 0];
      flatSpread = Math.max(flatSpread, highest - lowest);
      middles[plane] = (lowest + highest) / 2;
    });
    const first = histograms[0] ?? new Uint32Array(0);
    const sum = sumOf(cells.sums[0] ?? new Uint32Array(0));
    return {
      darkArea,
      brightArea: samplesBetween(first, tone.brightFrom, this.#topCode) / this.#pixels,
      flatSpread,
      flatFirst: middles[0] ?? Number.NaN,
      flatSecond: middles[1] ?? Number.NaN,
      flatThird: middles[2] ?? Number.NaN,
      mean: (sum / this.#pixels - tone.zero) / tone.range,
    };
  }

  #changes({ cells, change }: FrameFeatures) {
    const [{ range, barTo }] = this.#levels;
    const now = cells.sums[0] ?? new Uint32Array(0);
    const back = (frames: number): Uint32Array | undefined =>
      frames > this.#seen ? undefined : this.#cells[(this.#seen - frames) % DRIFT_FRAMES];
    const cellChange = (frames: number): number => {
      const before = back(frames);
      return before === undefined ? Number.NaN : cellDifference(now, before) / this.#pixels / range;
    };
    const before = back(1);
    this.#likeness ??= new CellLikeness(cellPixels(cells, this.#width, this.#height), {
      black: barTo,
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
    const [{ barTo, darkTo }] = this.#levels;
    const bars = frameBars(features, barTo, darkTo);
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
