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
  readonly #changes: readonly [Int8Array, Int8Array];
  /** Which cells changed in each frame of the last second, and how often each did. */
  readonly #history: readonly Uint8Array[];
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
    this.#changes = [new Int8Array(pixels.length), new Int8Array(pixels.length)];
    this.#history = Array.from({ length: second }, () => new Uint8Array(pixels.length));
    this.#counts = new Uint16Array(pixels.length);
    this.#areaByCount = new Float64Array(second + 1);
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
    even.observe(this.#changes[0]);
    odd.observe(this.#changes[1]);
    this.#count(frame, block % 2 === 0 ? this.#changes[1] : this.#changes[0], into);
  }

  #count(frame: number, changes: Int8Array, into: FrameChanges): void {
    const pixels = this.#pixels;
    const counts = this.#counts;
    const history = this.#history[frame % this.#second] ?? new Uint8Array(pixels.length);
    const areaByCount = this.#areaByCount.fill(0);
    let up = 0;
    let down = 0;
    for (let cell = 0; cell < pixels.length; cell++) {
      const size = pixels[cell] ?? 0;
      const change = changes[cell] ?? 0;
      const changed = change === 0 ? 0 : 1;
      const count = (counts[cell] ?? 0) + changed - (history[cell] ?? 0);
      history[cell] = changed;
      counts[cell] = count;
      areaByCount[count] = (areaByCount[count] ?? 0) + size;
      if (change === UP) up += size;
      else if (change === DOWN) down += size;
    }
    let most = this.#second;
    let area = areaByCount[most] ?? 0;
    while (most > 0 && area <= HARMFUL_AREA * this.#screen) area += areaByCount[--most] ?? 0;
    into.up = up / this.#screen;
    into.down = down / this.#screen;
    into.most = most;
  }
}
