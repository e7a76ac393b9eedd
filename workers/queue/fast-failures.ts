import type { Log } from '../clip-context.js';
import type { JobEnd } from './take-jobs.js';

/** A failure within so many seconds is fast: ffmpeg was hardly begun. */
export const FAST_SECONDS = 20;
/** So many clips in a row, none done between, are a fault of this machine rather than of the clips. */
const IN_A_ROW = 3;
const ASIDE_MS = 5 * 60_000;

/**
 * Has a worker step aside that fails one clip after the other: it would use up the tries of a whole night's
 * clips in minutes, which others could do.
 */
export class FastFailures {
  readonly #log: Pick<Log, 'error'>;
  readonly #now: () => number;
  readonly #clips = new Set<string>();
  #until = Number.NEGATIVE_INFINITY;
  #why = '';

  constructor(log: Pick<Log, 'error'>, now: () => number = () => performance.now()) {
    this.#log = log;
    this.#now = now;
  }

  /** Why no clip is taken for now; null: clips are taken. */
  get aside(): string | null {
    return this.#now() < this.#until ? this.#why : null;
  }

  /** What became of a clip, and after how long. What is wrong with a clip itself counts for nothing. */
  count(clip: string, end: JobEnd, seconds: number): void {
    if (end.is === 'done') this.#clips.clear();
    const hasFailed = end.is === 'again' || (end.is === 'cannot' && end.hasFailed === true);
    if (!hasFailed || seconds > FAST_SECONDS) return;
    this.#clips.add(clip);
    if (this.#clips.size < IN_A_ROW) return;
    this.#clips.clear();
    this.#until = this.#now() + ASIDE_MS;
    this.#why = `${IN_A_ROW} clips in a row failed at once, the last with ${end.why}: no clip is taken for ${ASIDE_MS / 60_000} minutes`;
    this.#log.error({}, this.#why);
  }
}
