import type { AspectChange, AspectRecord } from './frame-record.js';

/** Most changes that are listed. */
const MOST_CHANGES = 100;

/**
 * Sample aspect of each frame, as reported by the decoder. Frames without one (`0/1`) are ignored. Where the
 * container declares an aspect, ffmpeg reports that for every frame, and changes inside the stream are not
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

  /** Appends the frames of another log, the first of which has number `from` here. */
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
