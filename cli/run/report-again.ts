import { GoodgateError } from '../../jobs/errors.js';
import type { Batch } from '../../jobs/plan/batch.js';
import { readBatch, readPlan } from '../../workers/batch/assemble.js';
import { BATCH_FILE, below, LOCKS_FOLDER } from '../../workers/batch/folder.js';
import { takeLock } from '../../workers/batch/lock.js';
import { withSinceJudged } from '../../workers/batch/since-judged.js';
import type { Log } from '../../workers/clip-context.js';
import { reportBatch } from '../../workers/handle-report.js';
import { requireReportWritable } from '../../workers/roots.js';
import type { Environment } from '../environment.js';

/**
 * Makes the reports of a batch again from the documents in its folder: of a finished batch, of one that was
 * stopped, and of what `check --report` wrote. What was gone or changed since it was judged is told; nothing
 * is measured. The batch keeps its dates.
 *
 * @param out absolute path of the folder
 * @throws GoodgateError `missing-file` (no batch there), `folder-busy` (it is running), `disk-full`,
 * `cannot-write`, `interrupted`, `outside-roots` (a link leads out of it).
 */
export async function reportAgain(
  out: string,
  options: { readonly environment: Environment; readonly signal: AbortSignal; readonly log: Log },
): Promise<Batch> {
  const { environment, signal, log } = options;
  await requireReportWritable(out, [out]);
  const lock = await takeLock(below(out, LOCKS_FOLDER), BATCH_FILE, { signal });
  try {
    const [batch, planned] = await Promise.all([readBatch(out), readPlan(out)]);
    if (batch === null) {
      throw new GoodgateError('missing-file', {
        what: 'the folder holds no readable batch.json',
        where: out,
        next: 'name the folder that run --out or check --report wrote to',
      });
    }
    if (batch.state === 'running') {
      throw new GoodgateError('folder-busy', {
        what: 'the batch is still running, or was killed',
        where: out,
        next: 'wait for it, or run it again: it goes on with what is missing',
      });
    }
    const roots = planned === null ? [out] : [planned.root, ...planned.joined, out];
    const site = { roots, tools: environment.tools, log, signal };
    const files = planned ?? { jobs: [], targetFiles: {} };
    return (await reportBatch(out, await withSinceJudged(out, batch, true), files, site)).batch;
  } finally {
    await lock.release();
  }
}
