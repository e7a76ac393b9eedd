import { rm } from 'node:fs/promises';
import { GoodgateError } from '../jobs/errors.js';
import type { Batch } from '../jobs/plan/batch.js';
import { assembleBatch, readBatch, readPlan, writeBatch } from './batch/assemble.js';
import { BATCH_FILE, below, LOCKS_FOLDER, PARTS_FOLDER } from './batch/folder.js';
import { takeLock } from './batch/lock.js';
import { withSinceJudged } from './batch/since-judged.js';
import { sweep } from './batch/sweep.js';
import type { PlannedFiles } from './report/html/commands.js';
import { loadReportDocuments } from './report/html/pages/load-documents.js';
import { batchStills, type StillSite } from './report/stills/batch-stills.js';
import { countBatch } from './report/summary/count-batch.js';
import { reportFiles } from './report/summary/standing.js';
import { writeFindings } from './report/write-findings.js';

/**
 * Puts together what became of every clip, and writes `batch.json`, `report.html`, `findings.csv` and
 * markers.
 *
 * @param state `finished` when every clip is done or has finally failed; `interrupted` when somebody stopped
 * the run
 * @param stillSite what it takes to read the files again for stills of their findings; null: the report has
 * none
 * @throws GoodgateError `missing-file` when the folder holds no plan, `disk-full`, `cannot-write`
 */
export async function handleReport(
  out: string,
  state: Batch['state'],
  now: string,
  stillSite: StillSite | null = null,
): Promise<Batch> {
  // Two reports at once, of workers of two queues, would each be whole, but their parts of both.
  const lock = await takeLock(below(out, LOCKS_FOLDER), BATCH_FILE, { signal: stillSite?.signal });
  try {
    return await putTogether(out, state, now, stillSite);
  } finally {
    await lock.release();
  }
}

async function putTogether(
  out: string,
  state: Batch['state'],
  now: string,
  stillSite: StillSite | null,
): Promise<Batch> {
  const [planned, earlier] = await Promise.all([readPlan(out), readBatch(out)]);
  if (planned === null) {
    throw new GoodgateError('missing-file', {
      what: 'the batch folder holds no readable plan.json',
      where: out,
      next: 'run the batch again',
    });
  }
  const batch = await assembleBatch(planned, {
    state,
    startedAt: earlier?.startedAt ?? now,
    finishedAt: state === 'running' ? null : now,
    unreadable: earlier?.unreadable ?? [],
    method: earlier?.method ?? { ffmpeg: 'unknown', goodgate: 'unknown' },
    ...{ before: earlier?.before ?? null, earlier },
    lost: 'no worker finished it, and none said why: workers were killed while they had it',
  });
  if (state === 'running') {
    await writeBatch(out, batch);
    return batch;
  }
  // All clips are done: figures of parts that lie there are of workers that were killed, as half made outputs
  // are.
  await sweep(out);
  await rm(below(out, PARTS_FOLDER), { recursive: true, force: true }).catch(() => undefined);
  const looked = await withSinceJudged(out, withItsDates(batch), false);
  return (await reportBatch(out, looked, planned, stillSite)).batch;
}

/** A run that found everything there leaves the batch the dates of the run that did the work. */
function withItsDates(batch: Batch): Batch {
  const isUntouched = batch.state === 'finished' && batch.clips.every(({ wasThere }) => wasThere);
  return isUntouched && batch.before !== null ? { ...batch, ...batch.before } : batch;
}

/** A batch that is over, as it was written, and what of it could not be. */
export interface ReportedBatch {
  readonly batch: Batch;
  /** Files whose places cannot be written as markers, with the reason. */
  readonly unmarked: readonly { readonly file: string; readonly reason: string }[];
}

/**
 * Counts the results of a batch whose documents lie in its folder, and writes `batch.json`, `report.html`
 * with a page of each file, `findings.csv` and markers.
 *
 * @param planned the jobs of the batch: where its files lie
 * @param stillSite as for `handleReport`
 * @throws GoodgateError `disk-full`, `cannot-write`
 */
export async function reportBatch(
  out: string,
  batch: Batch,
  planned: PlannedFiles,
  stillSite: StillSite | null,
): Promise<ReportedBatch> {
  const documents = await loadReportDocuments(batch, out, planned);
  const counted: Batch = { ...batch, totals: countBatch(batch, reportFiles(batch, documents)) };
  await writeBatch(out, counted);
  // The charts' library takes half the time of a start: only who draws them waits for it.
  const { writeReports } = await import('./report/html/pages/write-reports.js');
  const stills =
    stillSite === null ? documents.stills : await batchStills(planned, out, documents.verdicts, stillSite);
  const { marked, unmarked } = await writeFindings(out, counted, documents);
  await writeReports(out, counted, { ...documents, markers: marked, stills });
  return { batch: counted, unmarked };
}
