import type { FlowJobNode } from 'bullmq';
import type { Redis } from 'ioredis';
import { GoodgateError } from '../jobs/errors.js';
import type { Plan } from '../jobs/plan/plan.js';
import { plan as planSchema } from '../jobs/plan/plan.js';
import { readBatchEntry } from '../jobs/queue/batch-entries.js';
import { type BatchEntry, clipJobData, reportJobData } from '../jobs/queue/messages.js';
import { BATCHES_KEY, type QueueNames } from '../jobs/queue/names.js';
import { openFlows, openQueueNamed } from '../jobs/queue/open-queues.js';

/** How often a job the world failed is tried, and how long BullMQ waits: 5 s, 10 s, 20 s. */
const RETRY = { attempts: 4, backoff: { type: 'exponential', delay: 5_000 } } as const;
/** Finished jobs are kept for `status`; the batch folder is the lasting record. */
const KEEP_SECONDS = 14 * 24 * 3600;

export interface QueueOptions {
  /** Unique per submission: BullMQ would leave a parent waiting for a child id that already completed. */
  readonly run: string;
  readonly queues: QueueNames;
  readonly submittedAt: string;
}

/**
 * Takes the jobs of an earlier submission of this batch off their queues. One that a worker holds right now
 * cannot be taken: it finds out that it is superseded from the batch entry, which names the current run.
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

/** Forgets a batch that is over: its entry, and its own queues with everything in them. */
export async function forgetRun(entry: BatchEntry, redis: Redis): Promise<void> {
  await redis.hdel(BATCHES_KEY, entry.id);
  for (const name of [entry.queues.clips, entry.queues.reports]) {
    const queue = openQueueNamed(name, redis);
    await queue.obliterate({ force: true }).finally(() => queue.close());
  }
}

/**
 * Puts a plan on the queue: one job per clip, and above them the report, which runs when every clip is done
 * or has finally failed. Replaces an earlier submission of the same batch. Returns what `status` needs to
 * find it.
 *
 * @param redis an open connection, not closed here
 */
export async function queueBatch(plan: Plan, redis: Redis, options: QueueOptions): Promise<BatchEntry> {
  const checked = planSchema.parse(plan);
  if (checked.jobs.length === 0) {
    throw new GoodgateError('nothing-to-do', {
      what: 'the plan holds no job',
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
          // A clip that failed must not hold up the report: the report says so.
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
    // Closing it leaves the shared connection open.
    await flow.close();
  }
}
