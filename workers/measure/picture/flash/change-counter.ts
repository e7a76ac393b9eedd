import type { CellChange, CellGrid } from '../kernel/frame-features.js';
import { FlashExtent } from './flash-extent.js';
import { OpposingChanges } from './opposing-changes.js';
import { HARMFUL_AREA } from './rules.js';
import { DOWN, type Swings, UP } from './swings.js';

/** Of one frame. Areas are parts of the screen. */
export interface FrameChanges {
  /** Part that completed a change upwards, and downwards, in this frame: whole cells. */
  up: number;
  down: number;
  /** Lower and upper bound of the same. */
  least: StepChanges;
  most: StepChanges;
  /**
   * Most changes that the same quarter of the screen has made in the second that ends here, not necessarily
   * at the same time.
   */
  anyTime: number;
}

export interface StepChanges {
  /** Part that changed, upwards and downwards together. */
  area: number;
  /**
   * Part by which more changed upwards than downwards; below 0 for downwards. 0 where the light of the screen
   * did not go that way.
   */
  net: number;
  /** See OpposingChanges. */
  pair: number;
}

export const noChanges = (): FrameChanges => ({
  up: 0,
  down: 0,
  least: { area: 0, net: 0, pair: 0 },
  most: { area: 0, net: 0, pair: 0 },
  anyTime: 0,
});

/**
 * Areas below this fraction of the screen are far from the limit, whatever their edges, even where a change
 * takes two frames.
 */
const SMALL_AREA = 0.08;
/** Fraction of the light added by the changed cells that the whole screen must show. */
const SHOWN = 0.5;

/**
 * Counts changes over the screen, so that the figures of a frame depend only on a fixed number of previous
 * frames. Two trackers of the cells are reset alternately, one at the start of every second of frames (by the
 * number of the frame). The figures come from the tracker that was reset earlier, so from the last one to two
 * seconds. Changes slower than a second may be missed, or counted again by the tracker just reset; neither
 * makes three flashes in a second.
 */
export class ChangeCounter {
  readonly #light: Float64Array;
  /** The light of the previous frame. */
  readonly #lightBefore: Float64Array;
  readonly #pixels: Uint32Array;
  readonly #screen: number;
  readonly #second: number;
  readonly #extent: FlashExtent;
  readonly #opposing: OpposingChanges;
  readonly #trackers: readonly [Swings, Swings];
  /** Changes of the frame at hand by each tracker. */
  readonly #changes: readonly [CellChanges, CellChanges];
  /**
   * Which cells changed in each frame of the last second, how often each did, and how much of the screen did
   * so often.
   */
  readonly #history: readonly CellChanges[];
  readonly #counts: Uint16Array;
  readonly #areaByCount: Float64Array;
  #up = 0;
  #down = 0;
  /** What the changed cells add to the light in this frame, times their pixels. */
  #added = 0;

  /**
   * @param light what is tracked, of each cell in the frame at hand; its owner writes it anew for each frame
   * @param pixels of each cell
   * @param second frames in a second
   */
  constructor(
    light: Float64Array,
    pixels: Uint32Array,
    grid: CellGrid,
    second: number,
    makeSwings: () => Swings,
  ) {
    const cells = pixels.length;
    this.#light = light;
    this.#lightBefore = new Float64Array(cells);
    this.#pixels = pixels;
    this.#screen = pixels.reduce((sum, of) => sum + of, 0);
    this.#second = second;
    this.#extent = new FlashExtent(pixels, grid);
    this.#opposing = new OpposingChanges(cells, this.#screen, second);
    this.#trackers = [makeSwings(), makeSwings()];
    this.#changes = [cellChanges(cells), cellChanges(cells)];
    this.#history = Array.from({ length: second }, () => cellChanges(cells));
    this.#counts = new Uint16Array(cells);
    this.#areaByCount = new Float64Array(second + 1);
    this.#areaByCount[0] = this.#screen;
  }

  /**
   * Frames before a frame that its figures depend on: a second of counts, each by a tracker of up to two
   * seconds.
   */
  static memory(second: number): number {
    return 3 * second;
  }

  /**
   * @param change of the codes of each cell from the frame before; null where that is not known
   * @param motion sum of these changes
   */
  observe(frame: number, change: CellChange | null, motion: number, into: FrameChanges): void {
    const block = Math.floor(frame / this.#second);
    const [even, odd] = this.#trackers;
    const reset = block % 2 === 0 ? even : odd;
    if (frame % this.#second === 0) reset.restart();
    even.observe(this.#changes[0].cells);
    odd.observe(this.#changes[1].cells);
    const valid = block % 2 === 0 ? this.#changes[1] : this.#changes[0];
    this.#opposing.begin(frame, motion);
    this.#count(frame, valid, change);
    this.#tell(frame, valid.cells, change, into);
    this.#lightBefore.set(this.#light);
  }

  #count(frame: number, changes: CellChanges, change: CellChange | null): void {
    const history = this.#history[frame % this.#second];
    if (!history) throw new RangeError(`no frame ${frame}`);
    this.#up = 0;
    this.#down = 0;
    this.#added = 0;
    // Hardly a cell changes in most frames, or did so a second ago: those are passed over four at a time.
    const now = changes.words;
    const then = history.words;
    for (let word = 0; word < now.length; word++) {
      if (((now[word] ?? 0) | (then[word] ?? 0)) === 0) continue;
      const end = Math.min(4 * word + 4, this.#pixels.length);
      for (let cell = 4 * word; cell < end; cell++) {
        const way = changes.cells[cell] ?? 0;
        this.#countCell(cell, way === 0 ? 0 : 1, history.cells);
        if (way !== 0) this.#addCell(frame, cell, way, change);
      }
    }
  }

  #countCell(cell: number, changed: 0 | 1, history: Int8Array): void {
    const size = this.#pixels[cell] ?? 0;
    const before = this.#counts[cell] ?? 0;
    const count = before + changed - (history[cell] ?? 0);
    history[cell] = changed;
    this.#counts[cell] = count;
    this.#areaByCount[before] = (this.#areaByCount[before] ?? 0) - size;
    this.#areaByCount[count] = (this.#areaByCount[count] ?? 0) + size;
  }

  #addCell(frame: number, cell: number, way: number, change: CellChange | null): void {
    const size = this.#pixels[cell] ?? 0;
    if (way === UP) this.#up += size;
    else if (way === DOWN) this.#down += size;
    this.#added += size * ((this.#light[cell] ?? 0) - (this.#lightBefore[cell] ?? 0));
    this.#opposing.add(frame, cell, way, size, change);
  }

  #tell(frame: number, cells: Int8Array, change: CellChange | null, into: FrameChanges): void {
    const screen = this.#screen;
    const changed = this.#up + this.#down;
    const net = Math.abs(this.#up - this.#down);
    const isSmall = Math.max(net, this.#opposing.largest) < SMALL_AREA * screen;
    const { least, most } = isSmall
      ? this.#extent.whole(this.#up, this.#down)
      : this.#extent.of(cells, change);
    const goesAlong = net < SMALL_AREA * screen || this.#screenGoesAlong();
    for (const [step, area] of [
      [into.least, least],
      [into.most, most],
    ] as const) {
      step.area = (area.up + area.down) / screen;
      step.net = goesAlong ? (area.up - area.down) / screen : 0;
      step.pair = isSmall ? 0 : this.#opposing.pair(frame, (area.up + area.down) / changed);
    }
    into.up = this.#up / screen;
    into.down = this.#down / screen;
    into.anyTime = this.#anyTime();
  }

  /**
   * Whether the light of the whole screen shows what the changed cells add to it. Under a pattern that moves
   * it does not: while some cells complete a change upwards, others are on their way down.
   */
  #screenGoesAlong(): boolean {
    let all = 0;
    for (let cell = 0; cell < this.#light.length; cell++) {
      all += (this.#pixels[cell] ?? 0) * ((this.#light[cell] ?? 0) - (this.#lightBefore[cell] ?? 0));
    }
    return this.#added > 0 ? all >= SHOWN * this.#added : all <= SHOWN * this.#added;
  }

  #anyTime(): number {
    let most = this.#second;
    let area = this.#areaByCount[most] ?? 0;
    while (most > 0 && area <= HARMFUL_AREA * this.#screen) area += this.#areaByCount[--most] ?? 0;
    return most;
  }
}

/** A number for each cell, and the same memory four at a time. */
interface CellChanges {
  readonly cells: Int8Array;
  readonly words: Int32Array;
}

function cellChanges(cells: number): CellChanges {
  const words = new Int32Array(Math.ceil(cells / 4));
  return { cells: new Int8Array(words.buffer, 0, cells), words };
}
