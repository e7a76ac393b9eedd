import type { ChildProcess } from 'node:child_process';
import { guardGroup, releaseGroup } from '../children/guard.js';

export interface LifelineOptions {
  readonly signal?: AbortSignal | undefined;
  readonly stallTimeoutMs?: number | undefined;
  readonly timeoutMs?: number | undefined;
  /** Milliseconds between SIGTERM, on which ffmpeg closes its outputs, and SIGKILL. */
  readonly graceMs?: number | undefined;
}

const GRACE_MS = 5_000;

/**
 * Children that must not outlive this process. One exit listener for all: Node warns of a leak from eleven
 * listeners on.
 */
const living = new Set<Lifeline>();
const endAll = () => {
  for (const lifeline of living) lifeline.endNow();
};

/**
 * Ends a child early: on abort, when it shows no activity, when it takes too long, or when this process ends
 * first. Signals the whole process group of the child (which is spawned detached), first SIGTERM, then
 * SIGKILL: a child that waits in open() of a pipe that nobody reads ignores SIGTERM.
 */
export class Lifeline {
  killedBy: 'abort' | 'timeout' | 'stall' | null = null;
  readonly #options: LifelineOptions;
  #child: ChildProcess | null = null;
  #stall: NodeJS.Timeout | undefined;
  #total: NodeJS.Timeout | undefined;
  #grace: NodeJS.Timeout | undefined;
  readonly #onAbort = () => this.#end('abort');

  constructor(options: LifelineOptions) {
    this.#options = options;
    if (options.signal?.aborted) this.killedBy = 'abort';
  }

  watch(child: ChildProcess): void {
    this.#child = child;
    const { signal, timeoutMs, stallTimeoutMs } = this.#options;
    if (living.size === 0) process.once('exit', endAll);
    living.add(this);
    if (child.pid !== undefined) guardGroup(child.pid);
    signal?.addEventListener('abort', this.#onAbort, { once: true });
    if (signal?.aborted) this.#end('abort');
    if (timeoutMs !== undefined) this.#total = setTimeout(() => this.#end('timeout'), timeoutMs);
    if (stallTimeoutMs !== undefined) this.#stall = setTimeout(() => this.#end('stall'), stallTimeoutMs);
  }

  /** The child showed activity. */
  sign(): void {
    this.#stall?.refresh();
  }

  /** The child has ended and its pipes are closed: stops all timers. */
  release(): void {
    for (const timer of [this.#stall, this.#total, this.#grace]) clearTimeout(timer);
    this.#options.signal?.removeEventListener('abort', this.#onAbort);
    living.delete(this);
    if (this.#child?.pid !== undefined) releaseGroup(this.#child.pid);
    if (living.size === 0) process.removeListener('exit', endAll);
    this.#child = null;
  }

  /** Kills without grace: this process is ending. */
  endNow(): void {
    this.#send('SIGKILL');
  }

  #end(reason: 'abort' | 'timeout' | 'stall'): void {
    if (this.#child === null || this.killedBy !== null) return;
    this.killedBy = reason;
    this.#send('SIGTERM');
    this.#grace = setTimeout(() => this.#send('SIGKILL'), this.#options.graceMs ?? GRACE_MS);
  }

  #send(signal: NodeJS.Signals): void {
    const pid = this.#child?.pid;
    if (pid === undefined) return;
    try {
      process.kill(-pid, signal);
    } catch {
      // The group is already gone.
    }
  }
}
