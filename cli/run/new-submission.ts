import { randomBytes } from 'node:crypto';
import type { Redis } from 'ioredis';
import type { Submission } from '../../jobs/plan/submission.js';
import { serverTime } from '../../jobs/queue/server-time.js';
import { softwareOf } from '../../workers/queue/reach.js';
import type { Prepared } from '../prepare-plan.js';
import { thisSubmitter } from './submitter.js';

/** A submission of a plan, here and now by the clock of the queue's server. */
export async function newSubmission(
  prepared: Prepared,
  redis: Redis,
  { shared, priority = 'normal' }: Pick<Submission, 'shared'> & Partial<Pick<Submission, 'priority'>>,
): Promise<Submission> {
  const now = await serverTime(redis);
  return {
    schema: 'goodgate/submission@1',
    batch: prepared.plan.id,
    // Unique, and sortable by time.
    run: `${now.getTime().toString(36)}${randomBytes(3).toString('hex')}`,
    submittedAt: now.toISOString(),
    by: thisSubmitter(),
    shared,
    software: softwareOf(prepared),
    priority,
    paused: null,
  };
}
