import { randomBytes } from 'node:crypto';
import { hostname } from 'node:os';
import type { Redis } from 'ioredis';
import { closeRun, NOT_WHOLE, readBatchEntry, readOpenRuns } from '../../jobs/queue/batch-entries.js';
import type { BatchEntry } from '../../jobs/queue/messages.js';
import { batchQueues } from '../../jobs/queue/names.js';
import { openQueueNamed } from '../../jobs/queue/open-queues.js';
import { endPresence, type Presence, tellPresence } from '../../jobs/queue/present-workers.js';
import type { Log } from '../clip-context.js';
import type { ClipsOfOthers } from './clip-source.js';
import { FastFailures } from './fast-failures.js';
import { offersOf } from './offers.js';
import { byTurn } from './order-batches.js';
import { type AbleWorker, whyNotBatch } from './reach.js';
import { type JobSource, type JobTaker, takeJobs } from './take-jobs.js';

const LOOK_EVERY_MS = 1_000;
/** How often it is asked again whether a batch can be reached: volumes come and go. */
const ASK_AGAIN_MS = 30_000;
/** How often a worker that has nothing new to tell says that it is there. */
const TELL_EVERY_MS = 10_000;
/** A batch that is being submitted is known before its jobs, or all of them, are there. */
const LOST_AFTER_MS = 10_000;

export interface WorkBatchesOptions {
  readonly redis: Redis;
  readonly worker: AbleWorker;
  /** Whether clips are taken at this hour. */
  readonly isOpen: () => boolean;
  /** Sources of the jobs of a batch. */
  readonly sourcesOf: (
    entry: BatchEntry,
    onEnd: JobSource['onEnd'],
    others: ClipsOfOthers,
  ) => readonly JobSource[];
  /**
   * Puts a batch that the server lost back on it, from its folder. False: there is nothing to be put back, it
   * has ended.
   */
  readonly restore: (lost: BatchEntry) => Promise<boolean>;
  readonly stop: AbortSignal;
  readonly log: Log;
}

const PAUSED = 'it is paused: goodgate resume lets it go on';

/** A batch that stays undone, and why this worker does not do it. */
export interface Undone {
  readonly entry: BatchEntry;
  readonly why: string;
}

export interface BatchWork {
  /**
   * What is left to do: null while this worker has work or waits for what others have in hand; else the
   * batches that stay undone, none when all are done.
   */
  left(): Promise<readonly Undone[] | null>;
  /** Why this worker takes no clips for a while; null: it takes them. */
  readonly aside: string | null;
  close(): Promise<void>;
}

interface Seen {
  entry: BatchEntry;
  /** Why it is left to others. */
  why: string | null;
  askedAt: number;
  /** Why the last job was given back that this worker could not do. */
  refused: string | null;
  /** Since when the server knows the batch but not its report. */
  lostAt: number | null;
  /** When the last clip of it was taken here (order-batches.ts). */
  turn: number;
  readonly metAt: number;
  sources: readonly JobSource[];
}

/**
 * Takes the jobs of every open batch that this worker can reach and do, by priority; batches of one priority
 * take turns.
 */
export function workBatches(options: WorkBatchesOptions): BatchWork {
  return new Work(options);
}

class Work implements BatchWork {
  readonly #options: WorkBatchesOptions;
  readonly #id = randomBytes(8).toString('hex');
  readonly #seen = new Map<string, Seen>();
  /** Ended with a report that could not be written, while this worker was there. */
  readonly #unreported: Undone[] = [];
  readonly #failures: FastFailures;
  readonly #taker: JobTaker;
  readonly #looking: NodeJS.Timeout;
  #look: Promise<void> | null = null;
  #told = { text: '', at: 0 };
  #turns = 0;

  constructor(options: WorkBatchesOptions) {
    this.#options = options;
    this.#failures = new FastFailures(options.log);
    this.#taker = takeJobs({
      ...{ redis: options.redis, stop: options.stop, log: options.log },
      sources: () => this.#sources(),
    });
    this.#looking = setInterval(() => void this.#lookOnce().catch(() => undefined), LOOK_EVERY_MS);
    void this.#lookOnce().catch(() => undefined);
  }

  get aside(): string | null {
    return this.#failures.aside;
  }

  async left(): Promise<readonly Undone[] | null> {
    await this.#lookOnce();
    if (this.#taker.taken > 0) return null;
    const undone: Undone[] = [...this.#unreported];
    for (const seen of this.#seen.values()) {
      if (!seen.entry.whole && performance.now() - seen.metAt < LOST_AFTER_MS) return null;
      const why = seen.why ?? this.#failures.aside ?? (await this.#whyWaiting(seen));
      if (why === null) return null;
      undone.push({ entry: seen.entry, why });
    }
    return undone;
  }

  async close(): Promise<void> {
    clearInterval(this.#looking);
    await this.#taker.close();
    await endPresence(this.#id, this.#options.redis);
  }

  #sources(): JobSource[] {
    if (this.#failures.aside !== null) return [];
    const able = [...this.#seen.values()].filter(({ why }) => why === null);
    const standing = ({ entry: { priority, submittedAt }, turn }: Seen) => ({ priority, submittedAt, turn });
    able.sort((a, b) => byTurn(standing(a), standing(b)));
    return able.flatMap(({ sources }) => sources);
  }

  /** One look at a time; whoever asks meanwhile waits for that. */
  #lookOnce(): Promise<void> {
    this.#look ??= this.#lookAtAll().finally(() => {
      this.#look = null;
    });
    return this.#look;
  }

  async #lookAtAll(): Promise<void> {
    const { redis } = this.#options;
    const open = await readOpenRuns(redis);
    for (const [id, run] of open) {
      const entry = this.#seen.get(id)?.entry;
      if (entry?.run !== run || !entry.whole) await this.#meet(id);
    }
    for (const [id, seen] of this.#seen) {
      if (!open.has(id)) await this.#miss(id, seen.entry);
      else if (performance.now() - seen.askedAt > ASK_AGAIN_MS) await this.#ask(seen);
    }
    for (const [id, seen] of this.#seen) {
      if (seen.why === null && open.has(id)) await this.#closeEnded(seen);
    }
    await this.#tell();
  }

  async #meet(id: string): Promise<void> {
    const entry = await readBatchEntry(id, this.#options.redis);
    if (entry === null || !entry.shared) return;
    const before = this.#seen.get(id);
    if (before?.entry.run === entry.run && before.entry.whole === entry.whole) return;
    const onEnd: JobSource['onEnd'] = (job, end, seconds) => {
      this.#failures.count(`${entry.id} ${job.id}`, end, seconds);
      if (end.is !== 'cannot') return;
      seen.refused = end.why;
      // Another look at the volume, which may have gone.
      seen.askedAt = Number.NEGATIVE_INFINITY;
    };
    const { redis, worker, sourcesOf } = this.#options;
    const others = { offers: offersOf({ redis, me: this.#id, entry }), plans: worker.plans };
    const sources = sourcesOf(entry, onEnd, others).map(
      (source): JobSource => ({
        ...source,
        handle: (job, cancelled) => {
          seen.turn = ++this.#turns;
          return source.handle(job, cancelled);
        },
      }),
    );
    const seen: Seen = {
      ...{ entry, why: null, askedAt: 0, refused: null, lostAt: null, turn: 0, sources },
      metAt: performance.now(),
    };
    await this.#ask(seen);
    this.#seen.set(id, seen);
  }

  async #ask(seen: Seen): Promise<void> {
    const { whole } = seen.entry;
    const why = whole ? await whyNotBatch(seen.entry, this.#options.worker) : NOT_WHOLE;
    const { title, id } = seen.entry;
    if (why !== null && why !== seen.why)
      this.#options.log.warn({ batch: id, title, why }, 'batch left to others');
    if (why === null && seen.why !== null) this.#options.log.info({ batch: id, title }, 'batch can be done');
    seen.why = why;
    seen.askedAt = performance.now();
  }

  /** It is not among the open batches any more: it ended, or the server lost it. */
  async #miss(id: string, entry: BatchEntry): Promise<void> {
    const isKnown = (await readBatchEntry(id, this.#options.redis)) !== null;
    if (isKnown || !(await this.#options.restore(entry))) this.#seen.delete(id);
  }

  async #closeEnded(seen: Seen): Promise<void> {
    const { entry } = seen;
    const { redis, log } = this.#options;
    const queue = openQueueNamed(batchQueues(entry.id).reports, redis);
    try {
      const report = await queue.getJob(entry.reportQueueId);
      const state = report === undefined ? 'unknown' : await report.getState();
      if (state === 'completed' || state === 'failed') await closeRun(entry, redis);
      if (state !== 'unknown') seen.lostAt = null;
      else if (seen.lostAt === null) seen.lostAt = performance.now();
      else if (performance.now() - seen.lostAt > LOST_AFTER_MS && !(await this.#options.restore(entry)))
        await closeRun(entry, redis);
      if (state === 'failed') {
        const why = `its report could not be written: ${report?.failedReason ?? 'no reason was given'}`;
        this.#unreported.push({ entry, why });
        log.error({ batch: entry.id, out: entry.out }, why);
      }
    } finally {
      await queue.close();
    }
  }

  /**
   * Only jobs are left that this worker gave back, or that are paused; null while it may still have something
   * to do.
   */
  async #whyWaiting({ entry, refused, sources }: Seen): Promise<string | null> {
    const { clips } = batchQueues(entry.id);
    const isResting = sources.some(({ queue }) => this.#taker.isResting(queue));
    const queue = openQueueNamed(clips, this.#options.redis);
    try {
      const counts = await queue.getJobCounts('wait', 'active', 'prioritized');
      const { wait = 0, active = 0, prioritized = 0 } = counts;
      if (active > 0) return null;
      if (wait + prioritized > 0 && (await queue.isPaused())) return PAUSED;
      return isResting && wait === 0 ? refused : null;
    } finally {
      await queue.close();
    }
  }

  /** For `status`: that this worker is there, and what it leaves to others. */
  async #tell(): Promise<void> {
    const { worker, redis, isOpen } = this.#options;
    const left = [...this.#seen].flatMap(([id, { why, refused, sources }]) => {
      const isResting = sources.some(({ queue }) => this.#taker.isResting(queue));
      const told = why ?? (isResting ? refused : null);
      return told === null ? [] : [[id, told] as const];
    });
    const told: Presence = {
      ...{ id: this.#id, host: hostname(), pid: process.pid, software: worker.software },
      ...{ aside: this.#failures.aside, isOpen: isOpen(), leaves: Object.fromEntries(left) },
    };
    const text = JSON.stringify(told);
    if (text === this.#told.text && performance.now() - this.#told.at < TELL_EVERY_MS) return;
    await tellPresence(told, redis);
    this.#told = { text, at: performance.now() };
  }
}
