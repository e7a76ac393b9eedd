import type { FlowJobNode } from 'bullmq';
import type { Redis } from 'ioredis';
import { GoodgateError } from '../jobs/errors.js';
import type { Plan } from '../jobs/plan/plan.js';
import { plan as planSchema } from '../jobs/plan/plan.js';
import { readBatchEntry } from '../jobs/queue/batch-entries.js';
import { type BatchEntry, clipJobData, reportJobData } from '../jobs/queue/messages.js';
import { BATCHES_KEY, type QueueNames } from '../jobs/queue/names.js';
import { openFlows, openQueueNamed } from '../jobs/queue/open-queues.js';

/** Attempts at a job that fails for outside reasons, and how long BullMQ waits: 5 s, 10 s, 20 s. */
const RETRY = { attempts: 4, backoff: { type: 'exponential', delay: 5_000 } } as const;
/** Finished jobs are kept for `status`; the batch folder is the permanent record. */
const KEEP_SECONDS = 14 * 24 * 3600;

export interface QueueOptions {
  /** Unique per submission: BullMQ would leave a parent waiting for a child id that already completed. */
  readonly run: string;
  readonly queues: QueueNames;
  readonly submittedAt: string;
}

/**
 * Removes the jobs of an earlier submission of this batch from their queues. A job that a worker is running
 * cannot be removed: the worker sees from the batch entry, which has the current run, that its job is
 * superseded.
 */
async function removeEarlier(entry: BatchEntry, redis: Redis): Promise<void> {
  const clips = openQueueNamed(entry.queues.clips, redis);
  const reports = openQueueNamed(entry.queues.reports, redis);
  try {
    await reports.remove(entry.reportQueueId).catch(() => 0);
    for (const job of entry.jobs) await clips.remove(job.queueId).catch(() => 0);
  } finally {
    await Promise.allSettled([clips.close(), reports.close()]);
  }
}

/** Removes a finished batch: its entry, and its own queues with everything in them. */
export async function forgetRun(entry: BatchEntry, redis: Redis): Promise<void> {
  await redis.hdel(BATCHES_KEY, entry.id);
  for (const name of [entry.queues.clips, entry.queues.reports]) {
    const queue = openQueueNamed(name, redis);
    await queue.obliterate({ force: true }).finally(() => queue.close());
  }
}

/**
 * Queues a plan: one job per clip, and as their parent the report, which runs when every clip is done or has
 * finally failed. Replaces an earlier submission of the same batch. Returns the entry that `status` uses to
 * find it.
 *
 * @param redis an open connection, not closed here
 */
export async function queueBatch(plan: Plan, redis: Redis, options: QueueOptions): Promise<BatchEntry> {
  const checked = planSchema.parse(plan);
  if (checked.jobs.length === 0) {
    throw new GoodgateError('nothing-to-do', {
      what: 'the plan has no jobs',
      next:
        checked.refused.length > 0
          ? 'see what was refused and why: goodgate plan'
          : 'name a target with --target',
    });
  }
  const flow = openFlows(redis);
  try {
    const earlier = await readBatchEntry(checked.id, redis);
    if (earlier !== null) await removeEarlier(earlier, redis);

    const queueId = (part: string) => `${checked.id}-${options.run}-${part}`;
    const entry: BatchEntry = {
      id: checked.id,
      title: checked.title,
      out: checked.out,
      run: options.run,
      submittedAt: options.submittedAt,
      queues: options.queues,
      jobs: checked.jobs.map((job) => ({ queueId: queueId(job.id), clip: job.clip.name })),
      reportQueueId: queueId('report'),
    };
    // Written first: a worker may take the first job before the last one is queued, and looks here.
    await redis.hset(BATCHES_KEY, checked.id, JSON.stringify(entry));
    const kept = { removeOnComplete: { age: KEEP_SECONDS }, removeOnFail: { age: KEEP_SECONDS } };
    const children = checked.jobs.map(
      (job): FlowJobNode => ({
        name: 'clip',
        queueName: options.queues.clips,
        data: clipJobData.parse({ batch: checked.id, run: options.run, out: checked.out, job }),
        opts: {
          jobId: queueId(job.id),
          ...RETRY,
          ...kept,
          // A failed clip must not block the report, which names it.
          ignoreDependencyOnFailure: true,
        },
      }),
    );
    await flow.add({
      name: 'report',
      queueName: options.queues.reports,
      data: reportJobData.parse({ batch: checked.id, run: options.run, out: checked.out }),
      opts: { jobId: entry.reportQueueId, ...RETRY, ...kept },
      children,
    });
    return entry;
  } finally {
    // This leaves the shared connection open.
    await flow.close();
  }
}
