import type { Redis } from 'ioredis';
import type { Submission } from '../../jobs/plan/submission.js';
import type { BatchEntry } from '../../jobs/queue/messages.js';
import { restoringKey } from '../../jobs/queue/names.js';
import { queueBatch } from '../../planner/queue-batch.js';
import { readBatch, readPlan, readResults, readSubmission } from '../../workers/batch/assemble.js';

/** So long a worker has to put a batch back before another tries. */
const RESTORING_SECONDS = 30;

/** The submission a batch folder is at work on; null where it has ended, or is no batch folder. */
export async function unfinishedIn(out: string): Promise<Submission | null> {
  const [submission, batch] = await Promise.all([readSubmission(out), readBatch(out)]);
  return submission !== null && batch?.state === 'running' && batch.id === submission.batch
    ? submission
    : null;
}

/**
 * Puts a batch back on a server that lost it, from its folder: the jobs without a result, and the report.
 *
 * @returns its entry; null when another process is at it
 */
export async function restoreBatch(
  out: string,
  submission: Submission,
  redis: Redis,
): Promise<BatchEntry | null> {
  const plan = await readPlan(out);
  if (plan === null || plan.id !== submission.batch) return null;
  const mine = await redis.set(restoringKey(submission.batch), '1', 'EX', RESTORING_SECONDS, 'NX');
  if (mine === null) return null;
  const results = await readResults({ out, jobs: plan.jobs });
  const wanted = new Set(plan.jobs.flatMap(({ id }, index) => (results[index] === null ? id : [])));
  return queueBatch(plan, submission, redis, wanted);
}
