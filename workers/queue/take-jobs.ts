import { randomBytes } from 'node:crypto';
import { setTimeout as sleep } from 'node:timers/promises';
import { type Job, UnrecoverableError, Worker } from 'bullmq';
import type { Redis } from 'ioredis';
import { readCancelled } from '../../jobs/queue/cancelled-jobs.js';
import { KEY_PREFIX } from '../../jobs/queue/names.js';
import type { Log } from '../clip-context.js';

/**
 * A lock is renewed by the event loop, which measuring never blocks; a minute survives a machine that swaps.
 */
export const LOCK_MS = 60_000;
/** A worker killed three times over one clip is most likely killed by that clip. */
const LOST_AT_MOST = 3;
const LOOK_EVERY_MS = 1_000;
const FIRST_PAUSE_MS = 5_000;
/** So long no job is taken from a queue that holds only such as were given back. */
const REST_MS = 30_000;
/** Behind every job that was not given back. */
const LAST = 1_000;

/** What became of a job that was taken. */
export type JobEnd =
  | { readonly is: 'done'; readonly value: object }
  /** For good: another try would end the same way. */
  | { readonly is: 'failed'; readonly why: string }
  /** The world failed it: it is tried again, while it has tries left. */
  | { readonly is: 'again'; readonly why: string }
  /** It was interrupted, and is the next one to be taken. */
  | { readonly is: 'back' }
  /**
   * This worker cannot do it, as it may have found by trying: it goes back behind the others, and no try is
   * counted.
   */
  | { readonly is: 'cannot'; readonly why: string; readonly hasFailed?: true };

/** A queue and what is done with its jobs. */
export interface JobSource {
  readonly queue: string;
  /** Whether one more of its jobs can be begun now. */
  readonly hasRoom: () => boolean;
  /** Never throws. `cancelled` aborts when somebody cancels the job; its reason says who. */
  readonly handle: (job: Job, cancelled: AbortSignal) => Promise<JobEnd>;
  readonly onEnd?: (job: Job, end: JobEnd, seconds: number) => void;
}

export interface TakeOptions {
  readonly redis: Redis;
  /** In the order in which they are taken from. */
  readonly sources: () => readonly JobSource[];
  /** Aborted: pauses between tries end, and nothing more is taken. */
  readonly stop: AbortSignal;
  readonly log: Pick<Log, 'warn'>;
  /** How soon a job of a worker that died is noticed. */
  readonly stalledIntervalMs?: number | undefined;
  /** Before the second try; twice as long before each further one. */
  readonly firstPauseMs?: number;
}

export interface JobTaker {
  /** Jobs in hand. */
  readonly taken: number;
  /** True of a queue whose jobs were all given back by this worker a moment ago. */
  isResting(queue: string): boolean;
  /** Takes no more, waits for what is in hand. */
  close(): Promise<void>;
}

/**
 * Takes jobs from several queues, the first one first, and renews their locks while they are in hand. Nothing
 * here goes by the clock of this machine: pauses are waited for, and locks run out on the server.
 */
export function takeJobs(options: TakeOptions): JobTaker {
  return new Taker(options);
}

interface InHand {
  readonly queue: string;
  readonly job: string;
  readonly work: Promise<void>;
  readonly cancel: AbortController;
}

class Taker implements JobTaker {
  readonly #options: TakeOptions;
  readonly #queues = new Map<string, Worker>();
  readonly #inHand = new Map<string, InHand>();
  /** Jobs this worker gave back, and when (performance.now). */
  readonly #given = new Map<string, number>();
  readonly #restUntil = new Map<string, number>();
  readonly #loop: Promise<void>;
  readonly #looking: NodeJS.Timeout;
  readonly #closing = new AbortController();
  #news = new AbortController();

  constructor(options: TakeOptions) {
    this.#options = options;
    this.#loop = this.#run();
    this.#looking = setInterval(() => void this.#stopCancelled().catch(() => undefined), LOOK_EVERY_MS);
  }

  get taken(): number {
    return this.#inHand.size;
  }

  isResting(queue: string): boolean {
    return (this.#restUntil.get(queue) ?? 0) > performance.now();
  }

  async close(): Promise<void> {
    this.#closing.abort();
    await this.#settled();
    await this.#loop;
    await this.#settled();
    clearInterval(this.#looking);
    await Promise.all([...this.#queues.values()].map(closeQueue));
  }

  async #settled(): Promise<void> {
    await Promise.allSettled([...this.#inHand.values()].map(({ work }) => work));
  }

  get #isEnding(): boolean {
    return this.#closing.signal.aborted || this.#options.stop.aborted;
  }

  async #run(): Promise<void> {
    while (!this.#isEnding) {
      this.#news = new AbortController();
      const took = await this.#takeOne().catch(() => false);
      if (took) continue;
      const wake = [this.#closing.signal, this.#options.stop, this.#news.signal];
      await sleep(LOOK_EVERY_MS, undefined, { signal: AbortSignal.any(wake) }).catch(() => undefined);
    }
  }

  async #takeOne(): Promise<boolean> {
    const sources = this.#options.sources();
    await this.#leaveOthers(sources);
    for (const source of sources) {
      const queue = this.#open(source.queue);
      if (!source.hasRoom() || this.isResting(source.queue)) continue;
      const token = randomBytes(8).toString('hex');
      const job = await queue.getNextJob(token, { block: false });
      if (job === undefined) continue;
      if (this.#isEnding) await job.moveToWait(token);
      else await this.#begin(job, token, source);
      return true;
    }
    return false;
  }

  /** A queue that is looked after: jobs of workers that died are noticed as long as it is open here. */
  #open(name: string): Worker {
    const known = this.#queues.get(name);
    if (known !== undefined) return known;
    const queue = new Worker(name, null, {
      ...{ connection: this.#options.redis, prefix: KEY_PREFIX, autorun: false },
      ...{ lockDuration: LOCK_MS, maxStalledCount: LOST_AT_MOST },
      stalledInterval: this.#options.stalledIntervalMs ?? 30_000,
    });
    queue.on('error', () => undefined);
    void queue.startStalledCheckTimer().catch(() => undefined);
    this.#queues.set(name, queue);
    return queue;
  }

  async #leaveOthers(sources: readonly JobSource[]): Promise<void> {
    const wanted = new Set(sources.map(({ queue }) => queue));
    for (const [name, queue] of this.#queues) {
      const isInUse = [...this.#inHand.values()].some(({ queue: of }) => of === name);
      if (wanted.has(name) || isInUse) continue;
      this.#queues.delete(name);
      await closeQueue(queue);
    }
  }

  async #begin(job: Job, token: string, source: JobSource): Promise<void> {
    const id = `${source.queue}:${job.id}`;
    const given = this.#given.get(id);
    if (given !== undefined && performance.now() - given < REST_MS) {
      // Once round: what is left are jobs that this worker cannot do.
      this.#restUntil.set(source.queue, given + REST_MS);
      await job.moveToWait(token);
      return;
    }
    // A server that lost its jobs was given them again: this one may be in hand still.
    const before = this.#inHand.get(id)?.work;
    const cancel = new AbortController();
    const [who] = await readCancelled(source.queue, [job.id ?? ''], this.#options.redis);
    if (typeof who === 'string') cancel.abort(who);
    // From here on nothing is waited for until it has its place: the next one would be taken for the same.
    const work = this.#work(job, token, source, cancel, before).finally(() => {
      if (this.#inHand.get(id)?.work === work) this.#inHand.delete(id);
      this.#news.abort();
    });
    this.#inHand.set(id, { queue: source.queue, job: job.id ?? '', work, cancel });
  }

  /** Has jobs in hand that somebody cancelled stopped. */
  async #stopCancelled(): Promise<void> {
    const all = [...this.#inHand.values()].filter(({ cancel }) => !cancel.signal.aborted);
    for (const queue of new Set(all.map((each) => each.queue))) {
      const jobs = all.filter((each) => each.queue === queue);
      const by = await readCancelled(
        queue,
        jobs.map(({ job }) => job),
        this.#options.redis,
      );
      for (const [index, { cancel }] of jobs.entries()) {
        const who = by[index] ?? null;
        if (who !== null) cancel.abort(who);
      }
    }
  }

  async #work(
    job: Job,
    token: string,
    source: JobSource,
    cancel: AbortController,
    before?: Promise<void>,
  ): Promise<void> {
    const cancelled = cancel.signal;
    const renewing = setInterval(
      () => void job.extendLock(token, LOCK_MS).catch(() => undefined),
      LOCK_MS / 4,
    );
    try {
      await before;
      // Others may have come into its place meanwhile.
      if (before !== undefined && !source.hasRoom()) return await settle(job, token, { is: 'back' });
      const started = performance.now();
      let end: JobEnd = job.deferredFailure
        ? { is: 'failed', why: job.deferredFailure }
        : await source.handle(job, cancelled);
      source.onEnd?.(job, end, (performance.now() - started) / 1000);
      if (end.is === 'cannot') this.#given.set(`${source.queue}:${job.id}`, performance.now());
      if (end.is === 'again') await this.#pause(job, end.why, cancelled);
      // It is the source that says what a cancelled job leaves.
      if (end.is === 'again' && cancelled.aborted) end = await source.handle(job, cancelled);
      await settle(job, token, end);
    } catch (error) {
      // The lock was lost to another worker, or the server with its jobs: what was done lies in the folder.
      this.#options.log.warn({ job: job.id, err: error }, 'the queue did not take what became of a job');
    } finally {
      clearInterval(renewing);
    }
  }

  /** Before the next try, if there is one. No place is taken meanwhile, only the job's lock. */
  async #pause(job: Job, why: string, cancelled: AbortSignal): Promise<void> {
    if (job.attemptsMade + 1 >= (job.opts.attempts ?? 1)) return;
    await job.updateProgress({ stage: 'again', fraction: 0, detail: why }).catch(() => undefined);
    const wake = AbortSignal.any([this.#closing.signal, this.#options.stop, cancelled]);
    const ms = (this.#options.firstPauseMs ?? FIRST_PAUSE_MS) * 2 ** job.attemptsMade;
    await sleep(ms, undefined, { signal: wake }).catch(() => undefined);
  }
}

async function settle(job: Job, token: string, end: JobEnd): Promise<void> {
  if (end.is === 'done') await job.moveToCompleted(end.value, token, false);
  else if (end.is === 'failed') await job.moveToFailed(new UnrecoverableError(end.why), token, false);
  else if (end.is === 'again') await job.moveToFailed(new Error(end.why), token, false);
  else {
    if (end.is === 'cannot') await job.changePriority({ priority: LAST });
    await job.moveToWait(token);
  }
}

async function closeQueue(queue: Worker): Promise<void> {
  await queue.close().catch(() => undefined);
}
