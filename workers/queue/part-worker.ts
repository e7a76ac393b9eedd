import { access } from 'node:fs/promises';
import { dirname } from 'node:path';
import { type Job, UnrecoverableError, WaitingError, Worker } from 'bullmq';
import type { Redis } from 'ioredis';
import { type PartAnswer, type PartProgress, partDigest, partJobData } from '../../jobs/queue/messages.js';
import { KEY_PREFIX, requesterKey } from '../../jobs/queue/names.js';
import { below, partFile } from '../batch/folder.js';
import type { Log, Site } from '../clip-context.js';
import { requireUnchanged } from '../file/file-state.js';
import { measurePart } from '../measure/parts/measure-here.js';
import { writePart } from '../measure/parts/part-file.js';
import { PartsDoubt } from '../measure/parts/run-part.js';
import { requirePartAllowed } from '../roots.js';
import { pacedProgress } from './paced-progress.js';
import type { Places } from './places.js';
import { LOCK_MS } from './take-jobs.js';

/** One other tries what a worker died over: should it be the file, not all workers are to die of it. */
const LOST_AT_MOST = 1;
/** How often it is asked whether a part is still wanted. */
const ASK_EVERY_MS = 5_000;
/**
 * So many looks in a row find nobody waiting before a part is given up: Redis may have been away, and the
 * requester's heartbeat with it.
 */
const UNWANTED_LOOKS = 2;

export interface PartWorkerOptions {
  readonly redis: Redis;
  /** Name of the queue to take parts from. */
  readonly queue: string;
  readonly site: Site;
  readonly places: Places;
  /** Aborted: running parts stop at once and go back to the queue. */
  readonly stop: AbortSignal;
  readonly log: Log;
  /** How soon a part of a worker that died is noticed. */
  readonly stalledIntervalMs?: number | undefined;
}

/**
 * Takes parts of long files from their queue, as many as there are places for when `resize` was called last.
 */
export interface PartWorker {
  resize(): void;
  close(): Promise<void>;
}

export function startPartWorker(options: PartWorkerOptions): PartWorker {
  const { places } = options;
  const worker = new Worker(
    options.queue,
    async (job: Job, token?: string): Promise<PartAnswer> => {
      // A worker that pauses while it waits for a job may still take one.
      if (places.idle === 0) await giveBack(job, token);
      return places.part(() => measure(job, token, options));
    },
    {
      ...{ connection: options.redis, prefix: KEY_PREFIX, concurrency: places.all },
      ...{ lockDuration: LOCK_MS, maxStalledCount: LOST_AT_MOST },
      stalledInterval: options.stalledIntervalMs ?? 30_000,
    },
  );
  worker.on('error', () => undefined);
  return {
    resize() {
      const room = places.forParts;
      const more = room > worker.concurrency;
      if (room > 0) worker.concurrency = room;
      // Its loop would look at a higher number only when a job ends: resuming wakes it.
      if (room === 0 || more) void worker.pause(true);
      if (room > 0 && worker.isPaused()) void worker.resume();
    },
    close: () => worker.close(),
  };
}

/** To the front of the queue, whatever this machine's clock says. */
async function giveBack(job: Job, token: string | undefined): Promise<never> {
  await job.moveToWait(token);
  throw new WaitingError();
}

async function measure(
  job: Job,
  token: string | undefined,
  { redis, site, stop, log }: PartWorkerOptions,
): Promise<PartAnswer> {
  const parsed = partJobData.safeParse(job.data);
  if (!parsed.success) throw new UnrecoverableError('bad-job: the job data is not a part of a file');
  const data = parsed.data;
  const wanted = new AbortController();
  let missed = 0;
  const look = async (): Promise<void> => {
    missed = (await redis.exists(requesterKey(data.requester))) === 1 ? 0 : missed + 1;
    if (missed >= UNWANTED_LOOKS) wanted.abort();
  };
  await look();
  if (missed > 0) return { state: 'unwanted' };
  const asking = setInterval(() => void look().catch(() => undefined), ASK_EVERY_MS);
  try {
    await requirePartAllowed(data, site.roots);
    const answer = below(data.out, partFile(data.requester, data.part));
    // The requester has made it: where it is not to be seen, the batch's volume is not mounted here.
    await access(dirname(answer));
    await requireUnchanged(data.path, data);
    log.info({ path: data.path, part: data.part, frames: data.range }, 'part taken');
    const { path, video, colour, range, isLast, numbering } = data;
    const signal = AbortSignal.any([stop, wanted.signal]);
    const { tools } = site;
    const tell = pacedProgress<PartProgress>(job, () => false);
    const work = { path, video, colour, range, isLast, numbering, signal, tools };
    const part = await measurePart(work, (frames) => tell({ frames }));
    await writePart(answer, partDigest(data), part);
    return { state: 'measured' };
  } catch (error) {
    if (stop.aborted) return giveBack(job, token);
    if (wanted.signal.aborted) return { state: 'unwanted' };
    if (error instanceof PartsDoubt) return { state: 'doubt', why: error.message };
    const why = error instanceof Error ? error.message : String(error);
    log.error({ path: data.path, part: data.part, err: error }, why);
    throw new UnrecoverableError(why);
  } finally {
    clearInterval(asking);
  }
}
