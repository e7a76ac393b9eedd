import { GoodgateError } from '../../jobs/errors.js';
import type { PlannedJob } from '../../jobs/plan/plan.js';
import type { ClipProgress } from '../../jobs/queue/messages.js';
import { estimate } from '../../jobs/words/times.js';

/** Seconds that a clip may take. */
export interface Limits {
  /** Without any progress. */
  readonly still: number;
  /** In all. */
  readonly whole: number;
}

const HOUR = 3_600;

/**
 * Limits far beyond the plan's estimate, so that a loaded machine meets none of them: ten times it without
 * progress, thirty times it in all; an hour and four hours at least, since comparing and hashing tell none.
 * ffmpeg itself is ended sooner when it gives no sign of life (run-ffmpeg.ts).
 */
export function limitsOf({ estimate: { seconds } }: Pick<PlannedJob, 'estimate'>): Limits {
  const planned = Number.isFinite(seconds) && seconds > 0 ? seconds : 0;
  return { still: Math.max(HOUR, 10 * planned), whole: Math.max(4 * HOUR, 30 * planned) };
}

/** The time a clip has, from its first progress on: until then it waits for who makes the same. */
export interface Deadline {
  /** Aborts when the time is over; its reason is the error. */
  readonly signal: AbortSignal;
  progress(told: ClipProgress): void;
  stop(): void;
}

export function deadline(limits: Limits, clip: string): Deadline {
  const over = new AbortController();
  let still: NodeJS.Timeout | undefined;
  let whole: NodeJS.Timeout | undefined;
  let last = '';
  const end = (what: string): void =>
    over.abort(
      new GoodgateError('ffmpeg-timeout', {
        what,
        where: clip,
        next: 'it is tried again; where that ends alike, look at the machine and at the file',
      }),
    );
  // A timer of Node holds 24 days; more is no limit.
  const after = (seconds: number, what: string): NodeJS.Timeout =>
    setTimeout(() => end(what), Math.min(seconds * 1000, 2 ** 31 - 1)).unref();
  return {
    signal: over.signal,
    progress({ stage, fraction, detail }) {
      const told = `${stage} ${fraction} ${detail}`;
      if (told === last) return;
      last = told;
      clearTimeout(still);
      still = after(limits.still, `no progress for ${estimate(limits.still)}`);
      whole ??= after(limits.whole, `not done after ${estimate(limits.whole)}, many times what was planned`);
    },
    stop() {
      clearTimeout(still);
      clearTimeout(whole);
    },
  };
}
