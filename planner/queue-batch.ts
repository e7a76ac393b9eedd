import type { FlowJobNode } from 'bullmq';
import type { Redis } from 'ioredis';
import { GoodgateError } from '../jobs/errors.js';
import type { Plan, PlannedJob } from '../jobs/plan/plan.js';
import type { Submission } from '../jobs/plan/submission.js';
import {
  closeRun,
  readBatchEntries,
  readBatchEntry,
  readListedClips,
  readOpenRuns,
  replaceBatchEntry,
  writeBatchEntry,
  writeListedClips,
} from '../jobs/queue/batch-entries.js';
import { type BatchEntry, clipJobData, reportJobData } from '../jobs/queue/messages.js';
import {
  BATCHES_KEY,
  batchQueues,
  cancelledKey,
  KEY_PREFIX,
  listedClipsKey,
  queueIdOf,
} from '../jobs/queue/names.js';
import { openFlows, openQueueNamed } from '../jobs/queue/open-queues.js';
import { serverTime } from '../jobs/queue/server-time.js';

/**
 * How often a job the world failed is tried. The worker that has it waits between (take-jobs.ts): a delay by
 * the queue goes by the clock of whoever asks for it. Finished jobs are kept for `status`, until their batch
 * is trimmed; the batch folder is the lasting record.
 */
const TRIED = { attempts: 4, removeOnComplete: false, removeOnFail: false } as const;

/** Batches that ended leave the server after so long, and the oldest when there are more than so many. */
const KEEP_MS = 14 * 24 * 3_600_000;
const KEEP_AT_MOST = 200;

/**
 * Takes the jobs of an earlier submission off their queues. One that a worker holds right now cannot be
 * taken: it finds out that it is superseded from the batch entry, which names the current run.
 */
async function removeEarlier(entry: BatchEntry, redis: Redis): Promise<void> {
  const names = batchQueues(entry.id);
  const clips = openQueueNamed(names.clips, redis);
  const reports = openQueueNamed(names.reports, redis);
  try {
    await reports.remove(entry.reportQueueId).catch(() => 0);
    const queueIds = (await readListedClips(entry.id, redis)).map(({ job }) => queueIdOf(entry, job));
    for (const some of inChunks(queueIds)) {
      await Promise.all(some.map((queueId) => clips.remove(queueId).catch(() => 0)));
    }
    await redis.del(cancelledKey(names.clips));
  } finally {
    await Promise.allSettled([clips.close(), reports.close()]);
  }
}

/** Forgets a batch: its entry, and its queues with everything in them. */
export async function forgetRun(entry: BatchEntry, redis: Redis): Promise<void> {
  await redis.hdel(BATCHES_KEY, entry.id);
  await closeRun(entry, redis);
  await redis.del(cancelledKey(batchQueues(entry.id).clips), listedClipsKey(entry.id));
  for (const name of Object.values(batchQueues(entry.id))) {
    const queue = openQueueNamed(name, redis);
    await queue.obliterate({ force: true }).finally(() => queue.close());
  }
}

/**
 * Forgets batches that ended long ago, or that many ended after. A `run` that was killed never ends: it is
 * forgotten by its age alone.
 */
export async function trimBatches(redis: Redis): Promise<void> {
  const now = (await serverTime(redis)).getTime();
  const open = await readOpenRuns(redis);
  const closed = (entry: BatchEntry): boolean => open.get(entry.id) !== entry.run;
  const isOld = ({ submittedAt }: BatchEntry): boolean => now - Date.parse(submittedAt) > KEEP_MS;
  const entries = await readBatchEntries(redis);
  const ended = entries.filter(closed);
  const over = new Set(ended.slice(KEEP_AT_MOST));
  for (const entry of entries) {
    if (over.has(entry) || (isOld(entry) && (closed(entry) || !entry.shared))) await forgetRun(entry, redis);
  }
}

/** A paused batch keeps its clips: what is being worked on is done to its end, and the report is written. */
export async function pauseClips(batch: string, isPaused: boolean, redis: Redis): Promise<void> {
  const queue = openQueueNamed(batchQueues(batch).clips, redis);
  await (isPaused ? queue.pause() : queue.resume()).finally(() => queue.close());
}

function clipJob({ id: batch, run, out }: BatchEntry, job: PlannedJob, jobId: string) {
  return {
    name: 'clip',
    data: clipJobData.parse({ batch, run, out, job }),
    // A clip that failed must not hold up the report: the report says so.
    opts: { jobId, ...TRIED, ignoreDependencyOnFailure: true },
  };
}

/**
 * Puts clips of a batch back on its queue whose report still waits for others.
 *
 * @returns false when it does not wait any more: the report may be written without them
 */
export async function queueAgain(
  entry: BatchEntry,
  jobs: readonly PlannedJob[],
  redis: Redis,
): Promise<boolean> {
  const names = batchQueues(entry.id);
  const clips = openQueueNamed(names.clips, redis);
  const reports = openQueueNamed(names.reports, redis);
  const waits = async (): Promise<boolean> =>
    (await (await reports.getJob(entry.reportQueueId))?.getState()) === 'waiting-children';
  try {
    if (!(await waits())) return false;
    const parent = { id: entry.reportQueueId, queue: `${KEY_PREFIX}:${names.reports}` };
    for (const job of jobs) {
      const queueId = queueIdOf(entry, job.id);
      await clips.remove(queueId);
      const { name, data, opts } = clipJob(entry, job, queueId);
      await clips.add(name, data, { ...opts, parent });
    }
    // The last of the others may have ended meanwhile.
    return await waits();
  } finally {
    await Promise.allSettled([clips.close(), reports.close()]);
  }
}

/** A long clip that is begun last keeps one core busy while the others are done. */
function longestFirst(jobs: readonly PlannedJob[]): PlannedJob[] {
  return [...jobs].sort((a, b) => b.estimate.seconds - a.estimate.seconds);
}

/**
 * Puts a plan on the queue: one job per clip, the longest first, and above them the report, which runs when
 * every clip is done or has finally failed. Replaces an earlier submission of the same batch, and another
 * batch in its folder.
 *
 * @param wanted ids of the jobs to queue: those without a result; all when left out
 * @param redis an open connection, not closed here
 */
export async function queueBatch(
  plan: Plan,
  submission: Submission,
  redis: Redis,
  wanted?: ReadonlySet<string>,
): Promise<BatchEntry> {
  if (plan.jobs.length === 0) {
    throw new GoodgateError('nothing-to-do', {
      what: 'the plan holds no job',
      next:
        plan.refused.length > 0
          ? 'see what was refused and why: goodgate plan'
          : 'name a target with --target',
    });
  }
  const { id, title, out } = plan;
  for (const earlier of await readBatchEntries(redis)) {
    if (earlier.id === id) await removeEarlier(earlier, redis);
    else if (earlier.out === out) await forgetRun(earlier, redis);
  }
  const { run, submittedAt, by, shared, software, priority, paused } = submission;
  const entry: BatchEntry = {
    ...{ id, title, out, run, submittedAt, by, shared, software, priority, whole: false },
    reportQueueId: queueIdOf({ id, run }, 'report'),
  };
  const listed = plan.jobs.map((job) => ({
    ...{ job: job.id, clip: job.clip.name, seconds: job.estimate.seconds },
  }));
  // The entry first: where the server loses what it holds on the way, it is this that will be missing.
  await writeBatchEntry(entry, redis);
  await writeListedClips(id, listed, redis);
  const jobs = longestFirst(plan.jobs.filter((job) => wanted?.has(job.id) ?? true));
  // Nothing is given out before all parts are there: the report would not wait for what comes later. Also to
  // workers that had an earlier submission of it.
  const inParts = jobs.length > JOBS_AT_ONCE;
  await pauseClips(id, paused !== null || inParts, redis);
  await addJobs(entry, jobs, redis);
  const all = { ...entry, whole: true };
  if (!(await replaceBatchEntry(entry, all, redis))) {
    const other = await readBatchEntry(id, redis);
    // Another process put it on the queue meanwhile: it is theirs now.
    if (other !== null) return other;
    await forgetRun(entry, redis);
    throw new GoodgateError('redis-gone', {
      what: 'the server lost the batch while its clips were queued',
      where: title,
      next: 'nothing of it is on the queue; give the same command again',
    });
  }
  if (paused === null && inParts) await pauseClips(id, false, redis);
  return all;
}

/** Server and memory hold so many at once. */
const JOBS_AT_ONCE = 500;

function* inChunks<T>(all: readonly T[]): Generator<readonly T[]> {
  for (let from = 0; from < all.length; from += JOBS_AT_ONCE) yield all.slice(from, from + JOBS_AT_ONCE);
}

/** The report, and the clips that it waits for. */
async function addJobs(entry: BatchEntry, jobs: readonly PlannedJob[], redis: Redis): Promise<void> {
  const { id: batch, run, out, reportQueueId } = entry;
  const names = batchQueues(batch);
  const [first = [], ...others] = inChunks(jobs);
  const flow = openFlows(redis);
  const clips = openQueueNamed(names.clips, redis);
  const dataOf = (job: PlannedJob) => clipJob(entry, job, queueIdOf(entry, job.id));
  try {
    await flow.add({
      name: 'report',
      queueName: names.reports,
      data: reportJobData.parse({ batch, run, out }),
      opts: { jobId: reportQueueId, ...TRIED },
      children: first.map((job): FlowJobNode => ({ queueName: names.clips, ...dataOf(job) })),
    });
    const parent = { id: reportQueueId, queue: `${KEY_PREFIX}:${names.reports}` };
    for (const some of others) {
      await clips.addBulk(
        some.map((job) => {
          const { opts, ...rest } = dataOf(job);
          return { ...rest, opts: { ...opts, parent } };
        }),
      );
    }
  } finally {
    // Closing them leaves the shared connection open.
    await Promise.allSettled([flow.close(), clips.close()]);
  }
}
