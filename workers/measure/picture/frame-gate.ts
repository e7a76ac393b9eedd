/**
 * Memory shared by the log (main thread) and the picture thread: a frame is measured only after its line of the log was
 * seen, so that a frame ffmpeg converted because the format changed in mid-stream is never measured as if it were
 * the picture. ffmpeg prints the line before it writes the frame, so the wait is short.
 */
const SEEN = 0;
const WIDTH = 1;
const HEIGHT = 2;
const STOP_AT = 3;
const ENDED = 4;
/** Changes with every other field: what a waiting thread sleeps on, so that no news is missed. */
const NEWS = 5;
const FIELDS = 6;

export class FrameGate {
  readonly memory: SharedArrayBuffer;
  readonly #fields: Int32Array;

  constructor(memory = new SharedArrayBuffer(FIELDS * Int32Array.BYTES_PER_ELEMENT)) {
    this.memory = memory;
    this.#fields = new Int32Array(memory);
    if (this.#load(STOP_AT) === 0 && this.#load(SEEN) === 0)
      Atomics.store(this.#fields, STOP_AT, 2 ** 31 - 1);
  }

  /** The log has seen one more frame. The first tells the raster all frames are delivered in. */
  frameSeen(width: number, height: number): void {
    if (this.#load(SEEN) === 0) {
      Atomics.store(this.#fields, WIDTH, width);
      Atomics.store(this.#fields, HEIGHT, height);
    }
    Atomics.add(this.#fields, SEEN, 1);
    this.#wake();
  }

  /** Frames from this one on are not to be measured. Call before `frameSeen` of that frame. */
  stopAt(frame: number): void {
    if (frame < this.#load(STOP_AT)) Atomics.store(this.#fields, STOP_AT, frame);
  }

  /** No more lines will come. */
  end(): void {
    Atomics.store(this.#fields, ENDED, 1);
    this.#wake();
  }

  get raster(): { readonly width: number; readonly height: number } {
    return { width: this.#load(WIDTH), height: this.#load(HEIGHT) };
  }

  /**
   * Waits, blocking the thread, until a frame's line was seen. `measure`: go on; `stop`: from here on only read;
   * `silent`: no line came in time, though the frame did.
   */
  wait(frame: number, timeoutMs: number): 'measure' | 'stop' | 'silent' {
    const deadline = Date.now() + timeoutMs;
    for (;;) {
      const news = this.#load(NEWS);
      if (this.#load(SEEN) > frame) return frame < this.#load(STOP_AT) ? 'measure' : 'stop';
      if (this.#load(ENDED) === 1) return 'silent';
      const left = deadline - Date.now();
      if (left <= 0) return 'silent';
      Atomics.wait(this.#fields, NEWS, news, left);
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
