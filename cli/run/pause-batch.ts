import type { Redis } from 'ioredis';
import { pauseClips } from '../../planner/queue-batch.js';
import { below, SUBMISSION_FILE } from '../../workers/batch/folder.js';
import { writeJson } from '../../workers/batch/write-whole.js';
import { requireOpen, type SteeredBatch } from './steered-batch.js';
import { thisSubmitter } from './submitter.js';

/**
 * Pauses a batch or lets it go on. The folder has it too, so that a batch that is put back on a server that
 * lost it is paused as before.
 *
 * @returns false when it was so already
 * @throws GoodgateError `nothing-to-do` (it has ended), `cannot-write`
 */
export async function pauseBatch(steered: SteeredBatch, isPaused: boolean, redis: Redis): Promise<boolean> {
  const { plan, submission } = steered;
  requireOpen(steered);
  const wasPaused = submission.paused !== null;
  if (wasPaused !== isPaused) {
    const paused = isPaused ? thisSubmitter() : null;
    await writeJson(below(plan.out, SUBMISSION_FILE), { ...submission, paused });
  }
  await pauseClips(plan.id, isPaused, redis);
  return wasPaused !== isPaused;
}
