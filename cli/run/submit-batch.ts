import type { Submission } from '../../jobs/plan/submission.js';
import type { BatchEntry } from '../../jobs/queue/messages.js';
import { queueBatch, trimBatches } from '../../planner/queue-batch.js';
import type { Environment } from '../environment.js';
import type { OpenQueue } from '../open-queue.js';
import { inOrder } from '../plan/fit-by.js';
import type { Prepared } from '../prepare-plan.js';
import { jobsToDo, openBatchFolder } from './batch-folder.js';
import { newSubmission } from './new-submission.js';
import { rememberBatch } from './remembered-batches.js';

export interface SubmitOptions {
  readonly environment: Environment;
  readonly queue: OpenQueue;
  /** The folder may hold another batch, which this one takes the place of. */
  readonly replace: boolean;
  readonly priority: Submission['priority'];
  /** Clips that matter most are begun first (plan/fit-by.ts). */
  readonly mattersFirst?: boolean;
  /** Called when the folder is ready, before anything is queued. */
  readonly beforeQueued?: () => Promise<void>;
}

/**
 * Puts a plan on the queue for any worker. The caller holds the lock of the folder. Killed at any point, the
 * folder either does not hold the plan yet, or has all it takes to queue it.
 *
 * @throws GoodgateError `folder-taken`, `disk-full`, `cannot-write`
 */
export async function submitBatch(
  prepared: Prepared,
  { environment, queue, replace, priority, mattersFirst = false, beforeQueued }: SubmitOptions,
): Promise<BatchEntry> {
  const { plan } = prepared;
  const submission = await newSubmission(prepared, queue.redis, { shared: true, priority });
  await trimBatches(queue.redis);
  const batch = await openBatchFolder(prepared, submission.submittedAt, replace, submission);
  await beforeQueued?.();
  await rememberBatch(environment.stateFolder, plan.out, queue.server);
  const queued = mattersFirst ? { ...plan, jobs: inOrder(plan.jobs) } : plan;
  return queueBatch(queued, submission, queue.redis, jobsToDo(batch));
}
