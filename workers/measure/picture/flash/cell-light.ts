import type { CellGrid, FrameFeatures } from '../kernel/frame-features.js';
import type { PicturePlan } from '../plan/picture-plan.js';
import { samplesIn } from '../temporal/histogram-shares.js';
import { CELLS_AT_ONCE, type CellMeans, cellMeans } from './cell-means.js';
import type { FlashDisplay } from './display-model.js';
import { greyOfCode } from './grey-light.js';
import { RED_SCALE, SATURATED_RED_SHARE } from './rules.js';

/**
 * Entries of the light table per unit of signal; between them light is interpolated linearly, with an error
 * below 1e-6.
 */
const TABLE_STEPS = 4096;

/**
 * The light of each cell of a frame on a display: that of the cell's mean code. Since displays bend upwards,
 * a cell with light and dark in it shines brighter than its mean code says (half black, half white: 100 of
 * 200 cd/m2, where the mean code says 38). `fineDetail` is how much light a frame loses by it.
 */
export class CellLight {
  /** cd/m2. */
  readonly luminance: Float64Array;
  /** (R - G - B) x 320, never below 0. */
  readonly red: Float64Array;
  /** 1 where the share of red makes the colour a saturated red. */
  readonly saturated: Uint8Array;
  /** Pixels of each cell; those at the right and bottom edge may have fewer. */
  readonly pixels: Uint32Array;
  /**
   * Mean luminance of the picture's pixels less that of its cells, cd/m2, both by Y' alone (G' of RGB
   * pictures). 0 where no cell has detail in it.
   */
  fineDetail = 0;
  /** Mean luminance of the picture's pixels, cd/m2, by Y' alone (G' of RGB pictures). */
  fineLight = 0;
  readonly #display: FlashDisplay;
  readonly #means: CellMeans;
  readonly #table: Float64Array;
  /** HLG: luminance of the scene to cd/m2 on the display. */
  readonly #shown: Float64Array;
  readonly #greyOfCode: Float64Array;
  /** Pixels of a cell that no edge cuts. */
  readonly #wholeCell: number;

  constructor(plan: PicturePlan, display: FlashDisplay, grid: CellGrid) {
    const cells = grid.columns * grid.rows;
    this.luminance = new Float64Array(cells);
    this.red = new Float64Array(cells);
    this.saturated = new Uint8Array(cells);
    this.#display = display;
    this.#means = cellMeans(plan, display.matrix, grid);
    this.pixels = this.#means.pixels;
    const entries = Math.ceil(display.topSignal * TABLE_STEPS) + 2;
    this.#table = Float64Array.from({ length: entries }, (_, i) => display.light(i / TABLE_STEPS));
    this.#shown = shownLight(display);
    this.#greyOfCode = greyOfCode(plan, display);
    this.#wholeCell = grid.size ** 2;
  }

  observe(features: FrameFeatures): void {
    const { sums } = features.cells;
    for (let from = 0; from < this.luminance.length; from += CELLS_AT_ONCE) {
      const to = Math.min(from + CELLS_AT_ONCE, this.luminance.length);
      this.#means.observe(sums, from, to);
      this.#shine(from, to);
    }
    this.#observeDetail(features);
  }

  /** The cells `[from, to)`, whose means were made just now. */
  #shine(from: number, to: number): void {
    const { red, green, blue } = this.#means;
    const { luminance, saturated } = this;
    const redness = this.red;
    const table = this.#table;
    const shown = this.#shown;
    const { gamma, toRed } = this.#display;
    const isScene = gamma !== null;
    const [[rr, rg, rb], [gr, gg, gb], [br, bg, bb]] = toRed;
    const [wr, wg, wb] = this.#display.luminance;
    const top = this.#display.topSignal * TABLE_STEPS;
    const topLight = shown.length - 2;
    for (let cell = from, i = 0; cell < to; cell++, i++) {
      let r = lightAt(table, (red[i] ?? 0) * TABLE_STEPS, top);
      let g = lightAt(table, (green[i] ?? 0) * TABLE_STEPS, top);
      let b = lightAt(table, (blue[i] ?? 0) * TABLE_STEPS, top);
      let light = wr * r + wg * g + wb * b;
      if (isScene) {
        const onDisplay = lightAt(shown, light * TABLE_STEPS, topLight);
        const factor = light > 0 ? onDisplay / light : 0;
        r *= factor;
        g *= factor;
        b *= factor;
        light = onDisplay;
      }
      luminance[cell] = light;
      // Colours outside BT.709 are limited to its edge.
      const others = positive(gr * r + gg * g + gb * b) + positive(br * r + bg * g + bb * b);
      const red709 = positive(rr * r + rg * g + rb * b);
      redness[cell] = positive(red709 - others) * RED_SCALE;
      saturated[cell] = red709 > 0 && red709 >= SATURATED_RED_SHARE * (red709 + others) ? 1 : 0;
    }
  }

  #observeDetail(features: FrameFeatures): void {
    this.fineDetail = 0;
    this.fineLight = 0;
    const counts = features.histograms[0];
    const sums = features.cells.sums[0];
    if (counts === undefined || sums === undefined) return;
    const pixels = samplesIn(counts);
    if (pixels === 0) return;
    const ofPixels = lightOfCodes(counts, this.#greyOfCode);
    let ofCells = 0;
    for (let from = 0; from < sums.length; from += CELLS_AT_ONCE) {
      ofCells = this.#addGrey(ofCells, sums, from, Math.min(from + CELLS_AT_ONCE, sums.length));
    }
    this.fineDetail = (ofPixels - ofCells) / pixels;
    this.fineLight = ofPixels / pixels;
  }

  /** Adds the light of grey of the cells `[from, to)`, each as often as it has pixels. */
  #addGrey(before: number, sums: Uint32Array, from: number, to: number): number {
    const grey = this.#greyOfCode;
    const sizes = this.pixels;
    const whole = this.#wholeCell;
    const share = 1 / whole;
    let light = before;
    for (let cell = from; cell < to; cell++) {
      const size = sizes[cell] ?? 1;
      const sum = sums[cell] ?? 0;
      // Exact: the number of pixels of a whole cell is a power of two.
      const code = size === whole ? sum * share : sum / size;
      const entry = code | 0;
      const low = grey[entry] ?? 0;
      light += size * (low + (code - entry) * ((grey[entry + 1] ?? low) - low));
    }
    return light;
  }
}

function lightOfCodes(counts: Uint32Array, light: Float64Array): number {
  let sum = 0;
  for (let code = 0; code < counts.length; code++) sum += (counts[code] ?? 0) * (light[code] ?? 0);
  return sum;
}

/** Light at a position in the table, between 0 and `top`. */
function lightAt(table: Float64Array, place: number, top: number): number {
  const above = positive(place);
  const held = above < top ? above : top;
  const entry = held | 0;
  const low = table[entry] ?? 0;
  return low + (held - entry) * ((table[entry + 1] ?? low) - low);
}

/**
 * max(value, 0), exact, without a branch that would be unpredictable in colourful pictures.
 */
function positive(value: number): number {
  return (value + Math.abs(value)) * 0.5;
}

function shownLight({ gamma, peak, light, topSignal }: FlashDisplay): Float64Array {
  if (gamma === null) return new Float64Array(2);
  const entries = Math.ceil(light(topSignal) * TABLE_STEPS) + 2;
  return Float64Array.from({ length: entries }, (_, i) => peak * (i / TABLE_STEPS) ** gamma);
}
