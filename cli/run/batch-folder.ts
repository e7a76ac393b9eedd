import { readdir, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import type { Batch } from '../../jobs/batch.js';
import { assembleBatch, writeBatch } from '../../workers/batch/assemble.js';
import { isAbandoned } from '../../workers/batch/attempt.js';
import { below, PLAN_FILE, resultFile } from '../../workers/batch/folder.js';
import { writeJson } from '../../workers/batch/write-whole.js';
import type { Prepared } from '../prepare-plan.js';

/** Removes what killed processes left half made; what a living worker is making stays. */
async function sweep(folder: string): Promise<void> {
  const entries = await readdir(folder, { withFileTypes: true, recursive: true }).catch(() => []);
  for (const entry of entries) {
    if (!entry.isFile()) continue;
    const path = join(entry.parentPath, entry.name);
    const found = await stat(path).catch(() => null);
    if (found !== null && isAbandoned(entry.name, found.mtimeMs, Date.now())) await rm(path, { force: true });
  }
}

/** Makes the batch folder ready: plan written, results of an earlier run put aside, the batch marked as running. */
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
