import { type FlowJobNode, FlowProducer, Queue } from 'bullmq';
import type { Redis } from 'ioredis';
import { GoodgateError } from '../jobs/errors.js';
import type { Plan } from '../jobs/plan.js';
import { plan as planSchema } from '../jobs/plan.js';
import { type BatchEntry, batchEntry, clipJobData, reportJobData } from '../jobs/queue/messages.js';
import { BATCHES_KEY, CLIP_QUEUE, KEY_PREFIX, REPORT_QUEUE } from '../jobs/queue/names.js';

/** How often a job the world failed is tried, and how long BullMQ waits: 5 s, 10 s, 20 s. */
const RETRY = { attempts: 4, backoff: { type: 'exponential', delay: 5_000 } } as const;
/** Finished jobs are kept for `status`; the batch folder is the lasting record. */
const KEEP_SECONDS = 14 * 24 * 3600;

/**
 * Takes the jobs of an earlier submission of this batch off the queue. One that a worker holds right now cannot
 * be taken: it finds out that it is superseded from the batch entry, which names the current run.
 */
async function removeEarlier(entry: BatchEntry, clips: Queue, reports: Queue): Promise<void> {
  await reports.remove(entry.reportQueueId).catch(() => 0);
  for (const job of entry.jobs) await clips.remove(job.queueId).catch(() => 0);
}

/**
 * Puts a plan on the queue: one job per clip, and above them the report, which runs when every clip is done or
 * has finally failed. Replaces an earlier submission of the same batch. Returns what `status` needs to find it.
 *
 * @param redis an open connection, not closed here
 * @param run unique per submission: BullMQ would leave a parent waiting for a child id that already completed
 */
export async function queueBatch(
  plan: Plan,
  redis: Redis,
  options: { run: string; priority: number; submittedAt: string },
): Promise<BatchEntry> {
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
  const connection = { connection: redis, prefix: KEY_PREFIX };
  const clips = new Queue(CLIP_QUEUE, connection);
  const reports = new Queue(REPORT_QUEUE, connection);
  const flow = new FlowProducer(connection);
  try {
    const earlier = await redis.hget(BATCHES_KEY, checked.id);
    if (earlier !== null) await removeEarlier(batchEntry.parse(JSON.parse(earlier)), clips, reports);

    const queueId = (part: string) => `${checked.id}-${options.run}-${part}`;
    const entry: BatchEntry = {
      id: checked.id,
      title: checked.title,
      out: checked.out,
      run: options.run,
      submittedAt: options.submittedAt,
      jobs: checked.jobs.map((job) => ({ queueId: queueId(job.id), clip: job.clip.name })),
      reportQueueId: queueId('report'),
    };
    // Written first: a worker may take the first job before the last one is queued, and looks here.
    await redis.hset(BATCHES_KEY, checked.id, JSON.stringify(entry));
    const kept = { removeOnComplete: { age: KEEP_SECONDS }, removeOnFail: { age: KEEP_SECONDS } };
    const children = checked.jobs.map(
      (job): FlowJobNode => ({
        name: 'clip',
        queueName: CLIP_QUEUE,
        data: clipJobData.parse({ batch: checked.id, run: options.run, out: checked.out, job }),
        opts: {
          jobId: queueId(job.id),
          priority: options.priority,
          ...RETRY,
          ...kept,
          // A clip that failed must not hold up the report: the report says so.
          ignoreDependencyOnFailure: true,
        },
      }),
    );
    await flow.add({
      name: 'report',
      queueName: REPORT_QUEUE,
      data: reportJobData.parse({ batch: checked.id, run: options.run, out: checked.out }),
      opts: { jobId: entry.reportQueueId, ...RETRY, ...kept },
      children,
    });
    return entry;
  } finally {
    // Closing these leaves the shared connection open.
    await Promise.allSettled([clips.close(), reports.close(), flow.close()]);
  }
}
