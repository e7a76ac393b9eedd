import { visible } from '../../jobs/words/plain-text.js';
import type { JobSource } from '../../workers/queue/take-jobs.js';
import type { Undone } from '../../workers/queue/work-batches.js';
import { warn } from '../print.js';

/** What a worker did until it ends. */
export class WorkDone {
  readonly #clips = { done: 0, failed: 0 };
  #undone: readonly Undone[] = [];

  /** Counts a clip when it ends. */
  counting(onEnd: JobSource['onEnd']): JobSource['onEnd'] {
    return (job, end, seconds) => {
      if (end.is === 'done' || end.is === 'failed') this.#clips[end.is]++;
      onEnd?.(job, end, seconds);
    };
  }

  /** Says which batches stay undone, and why; the exit code. */
  tellUndone(left: readonly Undone[]): number {
    this.#undone = left;
    for (const { entry, why } of left)
      warn(`batch ${entry.id} (${visible(entry.title)}) is not done: ${visible(why)}`);
    return left.length === 0 ? 0 : 3;
  }

  /** For programs. */
  get document(): object {
    const undone = this.#undone.map(({ entry: { id, title, out }, why }) => ({ batch: id, title, out, why }));
    return { ...this.#clips, undone };
  }
}
