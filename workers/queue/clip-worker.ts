import { DelayedError, type Job, UnrecoverableError, Worker } from 'bullmq';
import type { Redis } from 'ioredis';
import { GoodgateError } from '../../jobs/errors.js';
import type { BatchClip } from '../../jobs/plan/batch.js';
import { readBatchEntry } from '../../jobs/queue/batch-entries.js';
import { type ClipJobData, type ClipProgress, clipJobData } from '../../jobs/queue/messages.js';
import { KEY_PREFIX } from '../../jobs/queue/names.js';
import { below, resultFile } from '../batch/folder.js';
import { writeJson } from '../batch/write-whole.js';
import type { Log, Site } from '../clip-context.js';
import { handleClip } from '../handle-clip.js';
import type { Parallelism } from '../measure/parts/measure-divided.js';
import { requireWritable } from '../roots.js';
import { pacedProgress } from './paced-progress.js';
import type { Places } from './places.js';

/**
 * A lock is renewed by the event loop, which measuring never blocks; a minute survives a machine that swaps.
 */
export const LOCK_MS = 60_000;
/** A worker killed three times over one clip is most likely killed by that clip. */
const LOST_AT_MOST = 3;

export interface ClipWorkerOptions {
  readonly redis: Redis;
  /** Name of the queue to take clips from. */
  readonly queue: string;
  readonly site: Site;
  readonly places: Places;
  /** Others who may measure parts of a long file, for a clip of the batch in this folder. */
  readonly elsewhere?: (out: string) => Promise<Parallelism['elsewhere']>;
  /** Aborted: running jobs stop at once and go back to the queue. */
  readonly stop: AbortSignal;
  /** The worker's own log. */
  readonly log: Log;
  /** A logger for one job; asked for only when the job may write to its batch's folder. */
  readonly logFor: (data: ClipJobData) => Log;
  /** How soon a job of a worker that died is noticed. */
  readonly stalledIntervalMs?: number;
}

function errorOf(error: unknown): GoodgateError {
  if (error instanceof GoodgateError) return error;
  return new GoodgateError('internal', {
    what: `an unforeseen fault: ${error instanceof Error ? error.message : String(error)}`,
    next: 'this is a defect of goodgate: please report it with the log of the batch',
    cause: error,
  });
}

/** True when a later submission of the batch replaced this job's. */
async function isSuperseded(redis: Redis, data: ClipJobData): Promise<boolean> {
  const entry = await readBatchEntry(data.batch, redis);
  return entry !== null && entry.run !== data.run;
}

async function writeFailureResult(data: ClipJobData, error: GoodgateError, log: Log): Promise<void> {
  const result: BatchClip = {
    name: data.job.clip.name,
    job: data.job.id,
    state: 'failed',
    error: { code: error.code, what: error.message, next: error.next ?? null },
    original: null,
    items: [],
    seconds: null,
    wasThere: false,
  };
  // A full disk must not hide why the job failed: the report then says that the result is missing.
  await writeJson(below(data.out, resultFile(data.job.id)), result).catch((failure: unknown) =>
    log.error({ err: failure }, 'the result of a failed clip could not be written'),
  );
}

async function process(
  job: Job,
  token: string | undefined,
  options: ClipWorkerOptions,
): Promise<{ state: string }> {
  const parsed = clipJobData.safeParse(job.data);
  if (!parsed.success) {
    throw new UnrecoverableError(
      `bad-job: the job data is not a clip job (${parsed.error.issues[0]?.message ?? 'unknown'})`,
    );
  }
  const data = parsed.data;
  try {
    await requireWritable(data, options.site.roots);
  } catch (error) {
    // Nothing is written for it, not even why: `status` has the reason.
    const refused = errorOf(error);
    options.log.error({ clip: data.job.clip.name, code: refused.code }, refused.message);
    throw new UnrecoverableError(`${refused.code}: ${refused.message}`);
  }
  const log = options.logFor(data);
  if (await isSuperseded(options.redis, data)) return { state: 'superseded' };
  log.info({ clip: data.job.clip.name, job: data.job.id, attempt: job.attemptsMade + 1 }, 'clip taken');
  try {
    const parallelism = async (): Promise<Parallelism> => ({
      here: options.places.ofAClip,
      elsewhere: (await options.elsewhere?.(data.out)) ?? null,
    });
    const paced = pacedProgress(job, ({ fraction }: ClipProgress) => fraction === 1);
    const context = { log, signal: options.stop, progress: paced, parallelism };
    const { clip } = await handleClip(data, options.site, context);
    await writeJson(below(data.out, resultFile(data.job.id)), clip);
    log.info({ clip: clip.name, seconds: clip.seconds }, 'clip done');
    return { state: clip.state };
  } catch (thrown) {
    if (options.stop.aborted) {
      log.warn({ clip: data.job.clip.name }, 'interrupted; the clip goes back to the queue');
      await job.moveToDelayed(Date.now(), token);
      throw new DelayedError();
    }
    const error = errorOf(thrown);
    const attempts = job.opts.attempts ?? 1;
    const again = error.family === 'world' && job.attemptsMade + 1 < attempts;
    log.error({ clip: data.job.clip.name, code: error.code, err: error, again }, error.message);
    if (again) throw error;
    await writeFailureResult(data, error, log);
    throw new UnrecoverableError(`${error.code}: ${error.message}`);
  }
}

/**
 * Takes clip jobs from the queue. Closing the returned worker waits for running jobs: abort `stop` first to
 * interrupt them.
 */
export function startClipWorker(options: ClipWorkerOptions): Worker {
  const { places } = options;
  // Jobs that come later are begun all the same: for a while there is then more at work than there should be.
  const work = (job: Job, token: string | undefined) => places.clip(() => process(job, token, options));
  const worker = new Worker(options.queue, work, {
    connection: options.redis,
    prefix: KEY_PREFIX,
    concurrency: places.all,
    lockDuration: LOCK_MS,
    stalledInterval: options.stalledIntervalMs ?? 30_000,
    maxStalledCount: LOST_AT_MOST,
  });
  worker.on('error', () => undefined);
  return worker;
}
