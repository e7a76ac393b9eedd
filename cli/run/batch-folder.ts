import { rm } from 'node:fs/promises';
import type { Batch } from '../../jobs/plan/batch.js';
import type { Submission } from '../../jobs/plan/submission.js';
import { assembleBatch, readBatch, resultsIn, writeBatch, writePlan } from '../../workers/batch/assemble.js';
import { BATCH_MARKER, below, resultFile, SUBMISSION_FILE } from '../../workers/batch/folder.js';
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
  for (const { id } of plan.jobs) {
    const result = resultFile(id);
    // Of other manifests the result stays, also where it is a failure.
    if (!prepared.kept.has(id) && earlierResults.has(result))
      await rm(below(plan.out, result), { force: true });
  }
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
