import type { VideoFacts } from '../../../jobs/manifest/facts.js';
import { parseRational } from '../../../signal/rational.js';
import { CellLight } from '../../measure/picture/flash/cell-light.js';
import { flashScreening, isScreened } from '../../measure/picture/flash/flash-study.js';
import { LuminanceSwings, RedSwings, type Swings } from '../../measure/picture/flash/swings.js';
import type { CellGrid, FrameFeatures } from '../../measure/picture/kernel/frame-features.js';
import type { PicturePlan } from '../../measure/picture/plan/picture-plan.js';
import type { FlashMark } from './mark.js';

/**
 * The frame of a second in which most of the screen changed at once, by the rules the flashes were counted
 * by.
 */
export interface FoundFlash {
  readonly frame: number;
  /** One byte a pixel, 1 where the picture changed. */
  readonly mask: Uint8Array;
  readonly pixels: number;
}

/**
 * Follows the frames of a second, the ones before it that its changes set out from included, one after the
 * other.
 *
 * Throws Error where nothing can be screened.
 */
export class FlashFinder {
  readonly #plan: PicturePlan;
  readonly #mark: FlashMark;
  readonly #grid: CellGrid;
  readonly #light: CellLight;
  readonly #swings: Swings;
  readonly #changes: Int8Array;
  #best: FoundFlash | null = null;

  constructor(plan: PicturePlan, video: VideoFacts, mark: FlashMark) {
    const screening = flashScreening(plan, parseRational(video.frameRate ?? ''));
    if (!isScreened(screening)) throw new Error(screening.notJudged);
    const { display, grid } = screening;
    const light = new CellLight(plan, display, grid);
    this.#plan = plan;
    this.#mark = mark;
    this.#grid = grid;
    this.#light = light;
    this.#swings = mark.red
      ? new RedSwings(light.red, light.saturated)
      : new LuminanceSwings(light.luminance, display.isChange);
    this.#changes = new Int8Array(light.pixels.length);
  }

  /** @returns whether this frame is the worst up to now */
  see(frame: number, codes: Uint16Array): boolean {
    this.#light.observe(featuresOf(frame, this.#plan, this.#grid, codes));
    this.#swings.observe(this.#changes);
    if (frame < this.#mark.from || frame >= this.#mark.to) return false;
    const pixels = this.#pixels();
    if (pixels <= (this.#best?.pixels ?? 0)) return false;
    this.#best = { frame, mask: this.#mask(), pixels };
    return true;
  }

  get worst(): FoundFlash | null {
    return this.#best;
  }

  #pixels(): number {
    const { pixels } = this.#light;
    return this.#changes.reduce((sum, change, cell) => sum + (change === 0 ? 0 : (pixels[cell] ?? 0)), 0);
  }

  #mask(): Uint8Array {
    const { width, height } = this.#plan.geometry;
    const { size, columns } = this.#grid;
    const mask = new Uint8Array(width * height);
    this.#changes.forEach((change, cell) => {
      if (change === 0) return;
      const left = (cell % columns) * size;
      const top = Math.floor(cell / columns) * size;
      for (let y = top; y < Math.min(top + size, height); y++) {
        mask.fill(1, y * width + left, y * width + Math.min(left + size, width));
      }
    });
    return mask;
  }
}

/** Only what light is made of: the sums of the cells. */
function featuresOf(frame: number, plan: PicturePlan, grid: CellGrid, codes: Uint16Array): FrameFeatures {
  const none16 = new Uint16Array(0);
  const none32 = new Uint32Array(0);
  return {
    frame,
    histograms: [],
    rowMin: none16,
    rowMax: none16,
    columnMin: none16,
    columnMax: none16,
    cells: { ...grid, sums: cellSums(plan, grid, codes), roughness: { frame: none32, field: none32 } },
    change: null,
  };
}

function cellSums(
  { geometry, layout, scale }: PicturePlan,
  grid: CellGrid,
  codes: Uint16Array,
): Uint32Array[] {
  const { width, height, lumaSamples, chromaWidth, chromaHeight, chromaSamples } = geometry;
  const whole = { width, height, shiftX: 0, shiftY: 0 };
  const smaller = {
    width: chromaWidth,
    height: chromaHeight,
    shiftX: layout.chromaShiftX,
    shiftY: layout.chromaShiftY,
  };
  const planes =
    layout.model === 'grey'
      ? [{ ...whole, start: 0 }]
      : [
          { ...whole, start: 0 },
          { ...smaller, start: lumaSamples },
          { ...smaller, start: lumaSamples + chromaSamples },
        ];
  const cellShift = Math.log2(grid.size);
  return planes.map((plane) => {
    const sums = new Uint32Array(grid.columns * grid.rows);
    for (let y = 0; y < plane.height; y++) {
      const row = ((y << plane.shiftY) >> cellShift) * grid.columns;
      const start = plane.start + y * plane.width;
      for (let x = 0; x < plane.width; x++) {
        const cell = row + ((x << plane.shiftX) >> cellShift);
        sums[cell] = (sums[cell] ?? 0) + Math.min(codes[start + x] ?? 0, scale.topCode);
      }
    }
    return sums;
  });
}
