import { HARMFUL_AREA } from './rules.js';
import { DOWN, type Swings, UP } from './swings.js';

/** Of one frame. */
export interface FrameChanges {
  /** Part of the screen that completed a change upwards, and downwards, in this frame. */
  up: number;
  down: number;
  /** Most changes that more than a quarter of the screen, the same quarter, has made within the second that ends with this frame. */
  most: number;
}

/**
 * Counts changes over the screen, so that a frame's figures depend on no frame before a fixed number of them: every second of
 * frames, by the number of the frame, one of two followers starts afresh, and the one that has followed for a whole second up to two is
 * believed. Extremes are thus looked for in a window of one to two seconds. Changes slower than a second may be missed, or seen
 * once more by the fresh follower; neither makes three flashes in a second.
 */
export class ChangeCounter {
  readonly #pixels: Uint32Array;
  readonly #screen: number;
  readonly #second: number;
  readonly #followers: readonly [Swings, Swings];
  /** Changes of the frame at hand by each follower. */
  readonly #changes: readonly [CellChanges, CellChanges];
  /** Which cells changed in each frame of the last second, how often each did, and how much of the screen did so often. */
  readonly #history: readonly CellChanges[];
  readonly #counts: Uint16Array;
  readonly #areaByCount: Float64Array;

  /**
   * @param pixels of each cell
   * @param second frames in a second
   */
  constructor(pixels: Uint32Array, second: number, makeSwings: () => Swings) {
    this.#pixels = pixels;
    this.#screen = pixels.reduce((sum, of) => sum + of, 0);
    this.#second = second;
    this.#followers = [makeSwings(), makeSwings()];
    this.#changes = [cellChanges(pixels.length), cellChanges(pixels.length)];
    this.#history = Array.from({ length: second }, () => cellChanges(pixels.length));
    this.#counts = new Uint16Array(pixels.length);
    this.#areaByCount = new Float64Array(second + 1);
    this.#areaByCount[0] = this.#screen;
  }

  /** Frames before a frame that its figures depend on: a second of counts, each by a follower of up to two seconds. */
  static memory(second: number): number {
    return 3 * second;
  }

  observe(frame: number, into: FrameChanges): void {
    const block = Math.floor(frame / this.#second);
    const [even, odd] = this.#followers;
    const fresh = block % 2 === 0 ? even : odd;
    if (frame % this.#second === 0) fresh.restart();
    even.observe(this.#changes[0].cells);
    odd.observe(this.#changes[1].cells);
    this.#count(frame, block % 2 === 0 ? this.#changes[1] : this.#changes[0], into);
  }

  #count(frame: number, changes: CellChanges, into: FrameChanges): void {
    const history = this.#history[frame % this.#second];
    if (!history) throw new RangeError(`no frame ${frame}`);
    into.up = 0;
    into.down = 0;
    // Hardly a cell changes in most frames, or did so a second ago: those are passed over four at a time.
    const now = changes.words;
    const then = history.words;
    for (let word = 0; word < now.length; word++) {
      if (((now[word] ?? 0) | (then[word] ?? 0)) === 0) continue;
      const end = Math.min(4 * word + 4, this.#pixels.length);
      for (let cell = 4 * word; cell < end; cell++) this.#countCell(cell, changes.cells, history.cells, into);
    }
    into.up /= this.#screen;
    into.down /= this.#screen;
    into.most = this.#most();
  }

  #countCell(cell: number, changes: Int8Array, history: Int8Array, into: FrameChanges): void {
    const size = this.#pixels[cell] ?? 0;
    const change = changes[cell] ?? 0;
    const changed = change === 0 ? 0 : 1;
    const before = this.#counts[cell] ?? 0;
    const count = before + changed - (history[cell] ?? 0);
    history[cell] = changed;
    this.#counts[cell] = count;
    this.#areaByCount[before] = (this.#areaByCount[before] ?? 0) - size;
    this.#areaByCount[count] = (this.#areaByCount[count] ?? 0) + size;
    if (change === UP) into.up += size;
    else if (change === DOWN) into.down += size;
  }

  #most(): number {
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
