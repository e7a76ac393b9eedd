import type { CellGrid, FrameFeatures } from '../frame-features.js';
import type { PicturePlan } from '../picture-kernel.js';
import { type CellMeans, cellMeans } from './cell-means.js';
import type { FlashDisplay } from './display-model.js';
import { RED_SCALE, SATURATED_RED_SHARE } from './rules.js';

/** Entries of the light table for one unit of signal; between them light is taken as straight, which is right to 1e-6 of it or better. */
const TABLE_STEPS = 4096;

/**
 * The light of each cell of a frame on a display: that of the cell's mean code. Since displays bend upwards, a cell with light and dark in it
 * shines brighter than its mean code says (half black, half white: 100 of 200 cd/m2, where the mean code says 38). `fineDetail` tells how
 * much a frame loses by it.
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
   * Mean luminance of the picture's pixels less that of its cells, cd/m2, both by Y' alone (G' of RGB pictures). 0 where no cell has
   * detail in it.
   */
  fineDetail = 0;
  readonly #display: FlashDisplay;
  readonly #means: CellMeans;
  readonly #table: Float64Array;
  readonly #greyOfCode: Float64Array;

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
    this.#greyOfCode = greyOfCode(plan, display);
  }

  observe(features: FrameFeatures): void {
    this.#means.observe(features.cells.sums);
    const { red, green, blue } = this.#means;
    const [toRed, toGreen, toBlue] = this.#display.toRed;
    const [wr, wg, wb] = this.#display.luminance;
    const { gamma, peak } = this.#display;
    const top = this.#display.topSignal * TABLE_STEPS;
    for (let cell = 0; cell < red.length; cell++) {
      let r = this.#light(red[cell] ?? 0, top);
      let g = this.#light(green[cell] ?? 0, top);
      let b = this.#light(blue[cell] ?? 0, top);
      let luminance = wr * r + wg * g + wb * b;
      if (gamma !== null) {
        const shown = peak * luminance ** gamma;
        const factor = luminance > 0 ? shown / luminance : 0;
        r *= factor;
        g *= factor;
        b *= factor;
        luminance = shown;
      }
      this.luminance[cell] = luminance;
      // Colours outside BT.709 are at its edge.
      const red709 = Math.max(toRed[0] * r + toRed[1] * g + toRed[2] * b, 0);
      const others =
        Math.max(toGreen[0] * r + toGreen[1] * g + toGreen[2] * b, 0) +
        Math.max(toBlue[0] * r + toBlue[1] * g + toBlue[2] * b, 0);
      this.red[cell] = Math.max(red709 - others, 0) * RED_SCALE;
      this.saturated[cell] = red709 > 0 && red709 >= SATURATED_RED_SHARE * (red709 + others) ? 1 : 0;
    }
    this.fineDetail = this.#fineDetailOf(features);
  }

  #light(signal: number, top: number): number {
    let position = signal * TABLE_STEPS;
    if (!(position > 0)) position = 0;
    if (position > top) position = top;
    const entry = position | 0;
    const low = this.#table[entry] ?? 0;
    return low + (position - entry) * ((this.#table[entry + 1] ?? low) - low);
  }

  #fineDetailOf(features: FrameFeatures): number {
    const grey = this.#greyOfCode;
    const counts = features.histograms[0];
    const sums = features.cells.sums[0];
    if (counts === undefined || sums === undefined) return 0;
    let pixels = 0;
    let ofPixels = 0;
    for (let code = 0; code < counts.length; code++) {
      const count = counts[code] ?? 0;
      pixels += count;
      ofPixels += count * (grey[code] ?? 0);
    }
    let ofCells = 0;
    for (let cell = 0; cell < sums.length; cell++) {
      const size = this.pixels[cell] ?? 1;
      const code = (sums[cell] ?? 0) / size;
      const entry = code | 0;
      const low = grey[entry] ?? 0;
      ofCells += size * (low + (code - entry) * ((grey[entry + 1] ?? low) - low));
    }
    return pixels === 0 ? 0 : (ofPixels - ofCells) / pixels;
  }
}

/** Luminance of grey of each code, cd/m2. */
function greyOfCode({ scale }: PicturePlan, display: FlashDisplay): Float64Array {
  const steps = 2 ** scale.shift;
  return Float64Array.from({ length: scale.topCode + 1 }, (_, code) => {
    const signal = (code * steps - scale.black) / (scale.white - scale.black);
    const light = display.light(Math.min(Math.max(signal, 0), display.topSignal));
    return display.gamma === null ? light : display.peak * light ** display.gamma;
  });
}
