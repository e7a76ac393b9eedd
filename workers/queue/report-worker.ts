import { type Job, UnrecoverableError, Worker } from 'bullmq';
import type { Redis } from 'ioredis';
import { GoodgateError } from '../../jobs/errors.js';
import type { Batch } from '../../jobs/plan/batch.js';
import { reportJobData } from '../../jobs/queue/messages.js';
import { KEY_PREFIX } from '../../jobs/queue/names.js';
import { BATCH_FILE, below, FINDINGS_FILE, MARKERS_FOLDER, REPORT_FILE } from '../batch/folder.js';
import type { Log, Site } from '../clip-context.js';
import { handleReport } from '../handle-report.js';
import type { StillSite } from '../report/stills/batch-stills.js';
import { requireUnderRoots } from '../roots.js';

/** Where a report is written to, below the batch folder. */
const PLACES = ['', BATCH_FILE, REPORT_FILE, FINDINGS_FILE, MARKERS_FOLDER] as const;

/** Only the world's failures are worth another try: a folder outside the roots stays outside. */
async function report(out: string, site: StillSite): Promise<Batch> {
  try {
    for (const place of PLACES) await requireUnderRoots(below(out, place), site.roots);
    return await handleReport(out, 'finished', new Date().toISOString(), site);
  } catch (error) {
    if (!(error instanceof GoodgateError) || error.family === 'world') throw error;
    throw new UnrecoverableError(`${error.code}: ${error.message}`);
  }
}

/** Writes the report of each batch whose clips are all done or finally failed. */
export function startReportWorker(options: {
  redis: Redis;
  queue: string;
  site: Site;
  log: Log;
  /** Aborting has a report that is being written done without the stills it still wants. */
  stop?: AbortSignal;
}): Worker {
  const worker = new Worker(
    options.queue,
    async (job: Job) => {
      const parsed = reportJobData.safeParse(job.data);
      if (!parsed.success) throw new UnrecoverableError('bad-job: the job data is not a report job');
      const batch = await report(parsed.data.out, {
        ...options.site,
        log: options.log,
        signal: options.stop,
      });
      options.log.info({ batch: batch.id, out: parsed.data.out }, 'report written');
      return { batch: batch.id };
    },
    { connection: options.redis, prefix: KEY_PREFIX, concurrency: 1 },
  );
  worker.on('error', () => undefined);
  return worker;
}
