import { SharedFields } from './shared-fields.js';

/**
 * Memory shared by the thread that reads frames and the one that measures them: the progress of both. Frame n
 * is in slot n mod the number of slots. While frame n is measured, compared with frame n - 1, the reader may
 * fill only n + 1.
 */
const FILLED = 0;
const MEASURED = 1;
const ENDED = 2;
const LEFTOVER = 3;
const FAILED = 4;
/** Measuring has ended: further frames are read and discarded. */
const DISCARD = 5;
const FIELDS = 6;

export class FrameRing {
  readonly #fields: SharedFields;

  constructor(memory?: SharedArrayBuffer) {
    this.#fields = new SharedFields(FIELDS, memory);
  }

  get memory(): SharedArrayBuffer {
    return this.#fields.memory;
  }

  /** Reader: waits until frame n may be filled; false when no more frames are needed. */
  awaitRoom(frame: number): boolean {
    this.#fields.waitWhile(() => this.#fields.load(MEASURED) < frame - 1 && this.#fields.load(DISCARD) === 0);
    return this.#fields.load(DISCARD) === 0;
  }

  /** Reader: one more frame is complete. */
  frameFilled(): void {
    this.#fields.add(FILLED);
    this.#fields.ring();
  }

  /** Reader: nothing more comes; `leftover` bytes were the beginning of a frame. */
  end(leftover: number, failed = false): void {
    this.#fields.store(LEFTOVER, leftover);
    this.#fields.store(FAILED, failed ? 1 : 0);
    this.#fields.store(ENDED, 1);
    this.#fields.ring();
  }

  /** Kernel: waits for frame n; false when there is none. */
  awaitFrame(frame: number): boolean {
    this.#fields.waitWhile(() => this.#fields.load(FILLED) <= frame && this.#fields.load(ENDED) === 0);
    return this.#fields.load(FILLED) > frame;
  }

  /** Kernel: done with one more frame. */
  frameMeasured(): void {
    this.#fields.add(MEASURED);
    this.#fields.ring();
  }

  /** Kernel: needs no more frames. */
  discard(): void {
    this.#fields.store(DISCARD, 1);
    this.#fields.ring();
  }

  get leftover(): number {
    return this.#fields.load(LEFTOVER);
  }

  /** Reading ended with an error of the system. */
  get failed(): boolean {
    return this.#fields.load(FAILED) === 1;
  }
}
