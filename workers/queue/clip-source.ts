import { availableParallelism } from 'node:os';
import type { Job } from 'bullmq';
import type { Redis } from 'ioredis';
import { GoodgateError } from '../../jobs/errors.js';
import { countVerdicts } from '../../jobs/plan/batch.js';
import { isSuperseded } from '../../jobs/queue/batch-entries.js';
import {
  type ClipAnswer,
  type ClipJobData,
  type ClipProgress,
  clipJobData,
} from '../../jobs/queue/messages.js';
import { cancelledError, writeFailureResult } from '../batch/failed-result.js';
import { below, resultFile } from '../batch/folder.js';
import { writeJson } from '../batch/write-whole.js';
import type { Log, Site } from '../clip-context.js';
import { handleClip } from '../handle-clip.js';
import type { Parallelism } from '../measure/parts/measure-divided.js';
import { requireReadable, requireWritable } from '../roots.js';
import { deadline, type Limits, limitsOf } from './job-deadline.js';
import type { Offers } from './offers.js';
import type { Onlooker } from './onlooker.js';
import { pacedProgress } from './paced-progress.js';
import type { Places } from './places.js';
import type { KnownPlans } from './plan-needs.js';
import { whyNotHere, whyUnseen } from './reach.js';
import type { JobEnd, JobSource } from './take-jobs.js';

export interface ClipSourceOptions {
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
  readonly onEnd?: JobSource['onEnd'];
  readonly onlooker?: Onlooker | undefined;
  /** The time a clip has; left out: by its estimate. */
  readonly limits?: (job: ClipJobData['job']) => Limits;
  /** Left out: no other worker is to do it, and what cannot be done here has failed. */
  readonly others?: ClipsOfOthers;
}

/** What a worker has to know where clips may be done by others. */
export interface ClipsOfOthers {
  readonly offers: Offers;
  readonly plans: KnownPlans;
}

/** The clips of a batch. */
export function clipSource(options: ClipSourceOptions): JobSource {
  const { queue, places, onEnd } = options;
  return {
    ...{ queue, onEnd },
    hasRoom: () => places.hasRoom,
    handle: (job, cancelled) => places.clip(() => handle(job, cancelled, options)),
  };
}

function errorOf(error: unknown): GoodgateError {
  if (error instanceof GoodgateError) return error;
  return new GoodgateError('internal', {
    what: `an unforeseen fault: ${error instanceof Error ? error.message : String(error)}`,
    next: 'this is a defect of goodgate: please report it with the log of the batch',
    cause: error,
  });
}

/** A full disk must not hide why the job failed: the report then says that the result is missing. */
async function writeResult({ out, job }: ClipJobData, error: GoodgateError, log: Log): Promise<void> {
  await writeFailureResult(out, job, error).catch((failure: unknown) =>
    log.error({ err: failure }, 'the result of a failed clip could not be written'),
  );
}

/** Why this worker may not do a job that others may: nothing is written for it then. */
async function whyNot(data: ClipJobData, roots: readonly string[]): Promise<string | null> {
  try {
    await requireWritable(data, roots);
    await requireReadable(data, roots);
  } catch (error) {
    const { code, message } = errorOf(error);
    return `${code}: ${message}`;
  }
  return whyNotHere(data, roots);
}

/** What is left of a clip that somebody cancelled: a result that says so, and nothing half made. */
async function putDown(
  data: ClipJobData,
  cancelled: AbortSignal,
  { log, logFor }: ClipSourceOptions,
): Promise<JobEnd> {
  const error = cancelledError(String(cancelled.reason));
  log.info({ clip: data.job.clip.name }, error.what);
  await writeResult(data, error, logFor(data));
  return { is: 'failed', why: `${error.code}: ${error.message}` };
}

async function handle(job: Job, cancelled: AbortSignal, options: ClipSourceOptions): Promise<JobEnd> {
  const parsed = clipJobData.safeParse(job.data);
  if (!parsed.success) {
    const issue = parsed.error.issues[0]?.message ?? 'unknown';
    return { is: 'failed', why: `bad-job: the job data is not a clip job (${issue})` };
  }
  const data = parsed.data;
  const { site, redis, stop, onlooker } = options;
  const { name } = data.job.clip;
  const why = await whyNot(data, site.roots);
  if (why !== null && options.others === undefined) return { is: 'failed', why };
  if (why !== null) {
    options.log.warn({ clip: name, why }, 'left to other workers');
    return { is: 'cannot', why };
  }
  if (await isSuperseded(data, redis)) return { is: 'done', value: { state: 'superseded' } };
  if (cancelled.aborted) return putDown(data, cancelled, options);
  const left = (await options.others?.offers.leave(job)) ?? null;
  if (left !== null) return { is: 'cannot', why: left };
  const log = options.logFor(data);
  const began = performance.now();
  const time = deadline((options.limits ?? limitsOf)(data.job), name);
  onlooker?.stage(data.job.id, 'decode');
  log.info({ clip: name, job: data.job.id, attempt: job.attemptsMade + 1 }, 'clip taken');
  try {
    const parallelism = async (): Promise<Parallelism> => ({
      here: options.places.ofAClip,
      elsewhere: (await options.elsewhere?.(data.out)) ?? null,
    });
    const paced = pacedProgress(job, ({ fraction }: ClipProgress) => fraction === 1);
    const progress = (told: ClipProgress): void => {
      onlooker?.stage(data.job.id, told.stage);
      time.progress(told);
      paced(told);
    };
    const signal = AbortSignal.any([stop, cancelled, time.signal]);
    const threads = (): number => options.places.coresOfAClip(availableParallelism());
    const done = await handleClip(data, site, { log, signal, progress, parallelism, threads });
    const { clip } = done;
    await writeJson(below(data.out, resultFile(data.job.id)), clip);
    onlooker?.done(data, done);
    log.info({ clip: clip.name, seconds: clip.seconds }, 'clip done');
    const seconds = clip.wasThere ? null : clip.seconds;
    const value: ClipAnswer = { state: clip.state, verdicts: countVerdicts(clip), seconds };
    return { is: 'done', value };
  } catch (thrown) {
    if (stop.aborted) {
      log.warn({ clip: name }, 'interrupted; the clip goes back to the queue');
      return { is: 'back' };
    }
    if (cancelled.aborted) return putDown(data, cancelled, options);
    const seconds = (performance.now() - began) / 1000;
    const error = errorOf(time.signal.aborted ? time.signal.reason : thrown);
    return failed(job, data, { error, seconds }, options);
  } finally {
    time.stop();
    onlooker?.stage(data.job.id, null);
  }
}

/** What a failed attempt means: to this worker, to the clip, or to another try. */
async function failed(
  job: Job,
  data: ClipJobData,
  { error, seconds }: { readonly error: GoodgateError; readonly seconds: number },
  options: ClipSourceOptions,
): Promise<JobEnd> {
  const why = `${error.code}: ${error.message}`;
  const { others, site } = options;
  const here = others === undefined ? null : await whyNotOfMachine(data, error, site, others.plans);
  if (here !== null) {
    options.log.warn({ clip: data.job.clip.name, why: here, err: error }, 'left to other workers');
    return { is: 'cannot', why: here };
  }
  const log = options.logFor(data);
  const left = error.family === 'world' ? ((await others?.offers.offer(job, seconds)) ?? null) : null;
  if (left !== null) {
    log.error({ clip: data.job.clip.name, code: error.code, err: error, left }, error.message);
    return { is: 'cannot', why: `${left}: ${why}`, hasFailed: true };
  }
  const again = error.family === 'world' && job.attemptsMade + 1 < (job.opts.attempts ?? 1);
  log.error({ clip: data.job.clip.name, code: error.code, err: error, again }, error.message);
  if (again) return { is: 'again', why };
  await writeResult(data, error, log);
  return { is: 'failed', why };
}

/** Whether it was this machine that failed: a volume that went away, a program that is not there. */
async function whyNotOfMachine(
  data: ClipJobData,
  error: GoodgateError,
  { roots }: Site,
  plans: KnownPlans,
): Promise<string | null> {
  const lost = await whyNotHere(data, roots);
  if (lost !== null) return lost;
  if (error.code === 'missing-tool' || error.code === 'outside-roots')
    return `${error.code}: ${error.message}`;
  return error.code === 'missing-file' ? whyUnseen(data.out, plans) : null;
}
