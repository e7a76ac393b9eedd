import { rm } from 'node:fs/promises';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Redis } from 'ioredis';
import { GoodgateError } from '../../jobs/errors.js';
import type { PlannedJob } from '../../jobs/plan/plan.js';
import { unmarkCancelled } from '../../jobs/queue/cancelled-jobs.js';
import type { BatchEntry } from '../../jobs/queue/messages.js';
import { batchQueues, queueIdOf } from '../../jobs/queue/names.js';
import { openQueueNamed } from '../../jobs/queue/open-queues.js';
import { queueAgain, queueBatch } from '../../planner/queue-batch.js';
import { readBatch, readResult } from '../../workers/batch/assemble.js';
import { below, NOTICE_FILE, resultFile } from '../../workers/batch/folder.js';
import { handleReport } from '../../workers/handle-report.js';
import type { SteeredBatch } from './steered-batch.js';

const LOOK_EVERY_MS = 200;

/**
 * Puts clips that failed back on the queue: of all, those the world or the clip failed; one that was
 * cancelled only when it is named. A batch that has ended is opened again, and its report written anew.
 *
 * @param named whether one clip was asked for by its name
 * @returns names of the clips that are queued
 * @throws GoodgateError `nothing-to-do`, `cannot-write`
 */
export async function retryClips(
  steered: SteeredBatch,
  clips: readonly PlannedJob[],
  named: boolean,
  redis: Redis,
  signal: AbortSignal,
): Promise<string[]> {
  const { plan, submission, entry } = steered;
  if (!submission.shared) {
    throw new GoodgateError('nothing-to-do', {
      what: 'no worker does this batch: it is one of goodgate run',
      where: plan.out,
      next: 'the same goodgate run does what failed or is missing',
    });
  }
  const failed: PlannedJob[] = [];
  for (const job of clips) if (await hasFailed(steered, job, named)) failed.push(job);
  if (failed.length === 0) {
    const [only] = clips;
    throw new GoodgateError('nothing-to-do', {
      what: named ? `${only?.clip.name ?? 'the clip'} has not failed` : 'no clip of it has failed',
      where: plan.out,
      next: 'goodgate status with the batch tells how each stands; one that was cancelled is named',
    });
  }
  for (const { id } of failed) await rm(below(plan.out, resultFile(id)), { force: true });
  if (entry === null || !(await joinsOpen(entry, failed, redis, signal))) {
    // Its report counts as not written, for whoever reads the folder.
    await handleReport(plan.out, 'running', new Date().toISOString());
    // Its end is told anew.
    await rm(below(plan.out, NOTICE_FILE), { force: true });
    await queueBatch(plan, submission, redis, new Set(failed.map(({ id }) => id)));
  }
  return failed.map(({ clip }) => clip.name);
}

async function hasFailed(
  { plan, isOpen }: SteeredBatch,
  { id }: PlannedJob,
  named: boolean,
): Promise<boolean> {
  const result = await readResult(plan.out, id);
  // A batch that ended with a clip of which nobody told anything.
  if (result === null) return !isOpen && (await readBatch(plan.out))?.state === 'finished';
  return result.state === 'failed' && (named || result.error?.code !== 'cancelled');
}

/** Whether the report that is still to be written waits for them. */
async function joinsOpen(
  entry: BatchEntry,
  failed: readonly PlannedJob[],
  redis: Redis,
  signal: AbortSignal,
): Promise<boolean> {
  const names = batchQueues(entry.id);
  const queueIds = failed.map(({ id }) => queueIdOf(entry, id));
  await unmarkCancelled(names.clips, queueIds, redis);
  if (await queueAgain(entry, failed, redis)) return true;
  const reports = openQueueNamed(names.reports, redis);
  try {
    // A report that is being written is waited for: two at once would each lack what the other has.
    while (!signal.aborted) {
      const state = await (await reports.getJob(entry.reportQueueId))?.getState();
      if (state !== 'active') return false;
      await sleep(LOOK_EVERY_MS, undefined, { signal }).catch(() => undefined);
    }
    throw new GoodgateError('interrupted', { what: 'stopped while waiting for the report of the batch' });
  } finally {
    await reports.close();
  }
}
