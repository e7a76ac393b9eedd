import { rm } from 'node:fs/promises';
import type { Batch } from '../../jobs/plan/batch.js';
import type { PlannedJob } from '../../jobs/plan/plan.js';
import type { Submission } from '../../jobs/plan/submission.js';
import { atOnce } from '../../workers/at-once.js';
import {
  assembleBatch,
  READ_AT_ONCE,
  readBatch,
  readResult,
  resultsIn,
  writeBatch,
  writePlan,
} from '../../workers/batch/assemble.js';
import { provenMeasurement } from '../../workers/batch/documents.js';
import {
  BATCH_MARKER,
  below,
  measurementFile,
  resultFile,
  SUBMISSION_FILE,
} from '../../workers/batch/folder.js';
import { sweep } from '../../workers/batch/sweep.js';
import { writeJson, writeWhole } from '../../workers/batch/write-whole.js';
import type { Prepared } from '../prepare-plan.js';
import { requireSameBatch } from './require-own-folder.js';

const MARKER_TEXT = 'A batch folder of goodgate: what lies here was made. scan leaves this folder out.\n';

/**
 * Makes the batch folder ready: plan written, results of an earlier run put aside, the batch marked as
 * running. The caller holds the lock of the folder.
 *
 * @param replace the folder may hold another batch, which this one takes the place of
 * @param submission null where nothing is to be done
 * @throws GoodgateError `folder-taken`, `disk-full`, `cannot-write`.
 */
export async function openBatchFolder(
  prepared: Prepared,
  startedAt: string,
  replace: boolean,
  submission: Submission | null,
): Promise<Batch> {
  const { plan } = prepared;
  await requireSameBatch(prepared, replace);
  const earlier = await readBatch(plan.out);
  await writeWhole(below(plan.out, BATCH_MARKER), MARKER_TEXT);
  await sweep(plan.out);
  // An earlier run's failure is not this run's: outputs that are whole are found by their records instead.
  const earlierResults = await resultsIn(plan.out);
  await atOnce(READ_AT_ONCE, plan.jobs, async (job) => {
    const result = resultFile(job.id);
    if (!earlierResults.has(result)) return;
    // Of other manifests the result stays, a failure too; not where its files are no longer those.
    if (!prepared.kept.has(job.id) || !(await areThere(job, plan.out)))
      await rm(below(plan.out, result), { force: true });
  });
  await writePlan(plan);
  const batch = await assembleBatch(plan, {
    state: 'running',
    startedAt,
    finishedAt: null,
    unreadable: prepared.unreadable,
    before: earlier?.id === plan.id ? datesOf(earlier) : null,
    earlier,
    method: { ffmpeg: prepared.capabilities.ffmpegVersion, goodgate: prepared.version },
    lost: '',
  });
  await writeBatch(plan.out, batch);
  // Last: it marks the folder as that of the batch.
  if (submission !== null) await writeJson(below(plan.out, SUBMISSION_FILE), submission);
  return batch;
}

/** Whether all outputs of a job that was done are the files that were measured; true where it failed. */
async function areThere({ id, outputs }: PlannedJob, out: string): Promise<boolean> {
  if ((await readResult(out, id))?.state !== 'done') return true;
  for (const { key, path } of outputs) {
    const file = { key, path: below(out, path) };
    if ((await provenMeasurement(out, measurementFile(path), file)) === null) return false;
  }
  return true;
}

/** Ids of the jobs of an opened batch that are still to be done. */
export function jobsToDo({ clips }: Batch): ReadonlySet<string> {
  return new Set(clips.flatMap(({ state, job }) => (state === 'waiting' ? job : [])));
}

/**
 * Of a batch that was done to its end; of one that was started again and then stopped, those it had before.
 */
function datesOf({ state, startedAt, finishedAt, before }: Batch): Batch['before'] {
  return state === 'finished' && finishedAt !== null ? { startedAt, finishedAt } : before;
}
