import { SharedFields } from './shared-fields.js';

/**
 * Memory shared by the log (main thread) and the picture thread: a frame is measured only after its line in
 * the log was read, so that frames which ffmpeg converts after a format change within the stream are never
 * measured. ffmpeg prints the line before it writes the frame, so the wait is short.
 */
const SEEN = 0;
const WIDTH = 1;
const HEIGHT = 2;
const STOP_AT = 3;
const ENDED = 4;
const FIELDS = 5;

export class FrameGate {
  readonly #fields: SharedFields;

  constructor(memory?: SharedArrayBuffer) {
    this.#fields = new SharedFields(FIELDS, memory);
    if (this.#fields.load(STOP_AT) === 0 && this.#fields.load(SEEN) === 0)
      this.#fields.store(STOP_AT, 2 ** 31 - 1);
  }

  get memory(): SharedArrayBuffer {
    return this.#fields.memory;
  }

  /** The log has read one more frame. The first gives the raster of all delivered frames. */
  frameSeen(width: number, height: number): void {
    if (this.#fields.load(SEEN) === 0) {
      this.#fields.store(WIDTH, width);
      this.#fields.store(HEIGHT, height);
    }
    this.#fields.add(SEEN);
    this.#fields.ring();
  }

  /** Do not measure frames from this one on. Call it before `frameSeen` of that frame. */
  stopAt(frame: number): void {
    if (frame < this.#fields.load(STOP_AT)) this.#fields.store(STOP_AT, frame);
  }

  /** No more lines will come. */
  end(): void {
    this.#fields.store(ENDED, 1);
    this.#fields.ring();
  }

  get raster(): { readonly width: number; readonly height: number } {
    return { width: this.#fields.load(WIDTH), height: this.#fields.load(HEIGHT) };
  }

  /**
   * Blocks the thread until the line of a frame was read. `measure`: go on; `stop`: from here on only
   * read; `silent`: no line came in time, though the frame did.
   */
  wait(frame: number, timeoutMs: number): 'measure' | 'stop' | 'silent' {
    const seen = (): boolean => this.#fields.load(SEEN) > frame;
    this.#fields.waitWhile(() => !seen() && this.#fields.load(ENDED) === 0, timeoutMs);
    if (!seen()) return 'silent';
    return frame < this.#fields.load(STOP_AT) ? 'measure' : 'stop';
  }
}
