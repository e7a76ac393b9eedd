/**
 * Memory shared by the thread that reads frames and the one that measures them: who has got how far. Frame n lies in slot n mod the
 * number of slots. While frame n is measured, against frame n - 1, the reader may fill n + 1 and no more.
 */
const FILLED = 0;
const MEASURED = 1;
const ENDED = 2;
const LEFTOVER = 3;
const FAILED = 4;
/** Nobody measures any more: what comes is read and dropped. */
const DISCARD = 5;
const NEWS = 6;
const FIELDS = 7;

export class FrameRing {
  readonly memory: SharedArrayBuffer;
  readonly #fields: Int32Array;

  constructor(memory = new SharedArrayBuffer(FIELDS * Int32Array.BYTES_PER_ELEMENT)) {
    this.memory = memory;
    this.#fields = new Int32Array(memory);
  }

  /** Reader: waits until frame n may be filled; false when frames are no longer wanted. */
  awaitRoom(frame: number): boolean {
    this.#waitWhile(() => this.#load(MEASURED) < frame - 1 && this.#load(DISCARD) === 0);
    return this.#load(DISCARD) === 0;
  }

  /** Reader: one more frame is whole. */
  frameFilled(): void {
    Atomics.add(this.#fields, FILLED, 1);
    this.#wake();
  }

  /** Reader: nothing more comes; `leftover` bytes were the beginning of a frame. */
  end(leftover: number, failed = false): void {
    Atomics.store(this.#fields, LEFTOVER, leftover);
    Atomics.store(this.#fields, FAILED, failed ? 1 : 0);
    Atomics.store(this.#fields, ENDED, 1);
    this.#wake();
  }

  /** Kernel: waits for frame n; false when there is none. */
  awaitFrame(frame: number): boolean {
    this.#waitWhile(() => this.#load(FILLED) <= frame && this.#load(ENDED) === 0);
    return this.#load(FILLED) > frame;
  }

  /** Kernel: done with one more frame. */
  frameMeasured(): void {
    Atomics.add(this.#fields, MEASURED, 1);
    this.#wake();
  }

  /** Kernel: wants no more. */
  discard(): void {
    Atomics.store(this.#fields, DISCARD, 1);
    this.#wake();
  }

  get leftover(): number {
    return this.#load(LEFTOVER);
  }

  /** Reading ended with an error of the system. */
  get failed(): boolean {
    return this.#load(FAILED) === 1;
  }

  #waitWhile(holds: () => boolean): void {
    for (;;) {
      const news = this.#load(NEWS);
      if (!holds()) return;
      Atomics.wait(this.#fields, NEWS, news);
    }
  }

  #wake(): void {
    Atomics.add(this.#fields, NEWS, 1);
    Atomics.notify(this.#fields, NEWS);
  }

  #load(field: number): number {
    return Atomics.load(this.#fields, field);
  }
}
