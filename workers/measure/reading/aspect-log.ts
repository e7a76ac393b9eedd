import type { AspectChange, AspectRecord } from './frame-record.js';

/** A file whose aspect flickers is told often enough. */
const MOST_CHANGES = 100;

/**
 * Sample aspect from frame to frame, as the decoder gives it. Frames without one (`0/1`) change nothing.
 * Where a container states an aspect ffmpeg gives every frame that one, and no change inside the stream is
 * seen.
 */
export class AspectLog {
  readonly #changes: AspectChange[];
  #first: AspectRecord['first'];
  #last: AspectRecord['last'];

  constructor({ changes, first, last }: AspectRecord = { changes: [], first: null, last: null }) {
    this.#changes = [...changes];
    this.#first = first;
    this.#last = last;
  }

  get record(): AspectRecord {
    return { changes: [...this.#changes], first: this.#first, last: this.#last };
  }

  get changes(): readonly AspectChange[] {
    return this.#changes;
  }

  read(frame: number, aspect: string | undefined): void {
    if (aspect === undefined || /^0\/|\/0$/.test(aspect)) return;
    const before = this.#last;
    this.#first ??= { frame, aspect };
    this.#last = aspect;
    if (before !== null && before !== aspect) this.#add({ frame, before, after: aspect });
  }

  /** Goes on with the frames of another log, the first of which is number `from` here. */
  append(next: AspectLog, from: number): void {
    if (next.#first === null) return;
    this.read(from + next.#first.frame, next.#first.aspect);
    for (const change of next.#changes) this.#add({ ...change, frame: from + change.frame });
    this.#last = next.#last;
  }

  #add(change: AspectChange): void {
    if (this.#changes.length < MOST_CHANGES) this.#changes.push(change);
  }
}
