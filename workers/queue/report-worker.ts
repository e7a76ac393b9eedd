import { type Job, UnrecoverableError, Worker } from 'bullmq';
import type { Redis } from 'ioredis';
import { reportJobData } from '../../jobs/queue/messages.js';
import { KEY_PREFIX } from '../../jobs/queue/names.js';
import type { Log, Site } from '../clip-context.js';
import { handleReport } from '../handle-report.js';
import { requireUnderRoots } from '../roots.js';

/** Writes the report of each batch whose clips are all done or finally failed. */
export function startReportWorker(options: { redis: Redis; queue: string; site: Site; log: Log }): Worker {
  const worker = new Worker(
    options.queue,
    async (job: Job) => {
      const parsed = reportJobData.safeParse(job.data);
      if (!parsed.success) throw new UnrecoverableError('bad-job: the job data is not a report job');
      await requireUnderRoots(parsed.data.out, options.site.roots);
      const batch = await handleReport(parsed.data.out, 'finished', new Date().toISOString());
      options.log.info({ batch: batch.id, out: parsed.data.out }, 'report written');
      return { batch: batch.id };
    },
    { connection: options.redis, prefix: KEY_PREFIX, concurrency: 1 },
  );
  worker.on('error', () => undefined);
  return worker;
}
