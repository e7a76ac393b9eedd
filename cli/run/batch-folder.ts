import { rm } from 'node:fs/promises';
import type { Batch } from '../../jobs/plan/batch.js';
import { assembleBatch, writeBatch } from '../../workers/batch/assemble.js';
import { below, PLAN_FILE, resultFile } from '../../workers/batch/folder.js';
import { sweep } from '../../workers/batch/sweep.js';
import { writeJson } from '../../workers/batch/write-whole.js';
import type { Prepared } from '../prepare-plan.js';

/**
 * Makes the batch folder ready: plan written, results of an earlier run put aside, the batch marked as
 * running.
 */
export async function openBatchFolder(prepared: Prepared, startedAt: string): Promise<Batch> {
  const { plan } = prepared;
  await sweep(plan.out);
  // An earlier run's failure is not this run's: outputs that are whole are found by their records instead.
  for (const job of plan.jobs) await rm(below(plan.out, resultFile(job.id)), { force: true });
  await writeJson(below(plan.out, PLAN_FILE), plan);
  const batch = await assembleBatch(plan, {
    state: 'running',
    startedAt,
    finishedAt: null,
    unreadable: prepared.unreadable,
    method: { ffmpeg: prepared.capabilities.ffmpegVersion, goodgate: prepared.version },
    lost: '',
  });
  await writeBatch(plan.out, batch);
  return batch;
}
