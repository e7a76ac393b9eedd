import type { Job } from 'bullmq';
import type { Redis } from 'ioredis';
import { GoodgateError } from '../../jobs/errors.js';
import type { Batch } from '../../jobs/plan/batch.js';
import { isSuperseded } from '../../jobs/queue/batch-entries.js';
import { type ReportJobData, reportJobData } from '../../jobs/queue/messages.js';
import type { Log, Site } from '../clip-context.js';
import { handleReport } from '../handle-report.js';
import { requireReportWritable } from '../roots.js';
import { whyNotHere } from './reach.js';
import type { JobEnd, JobSource } from './take-jobs.js';

export interface ReportSourceOptions {
  readonly redis: Redis;
  readonly queue: string;
  readonly site: Site;
  readonly log: Log;
  /** Aborting has a report that is being written done without the stills it still wants. */
  readonly stop?: AbortSignal;
  readonly onEnd?: JobSource['onEnd'];
  /** Is told of a report that is written, and waited for; never rejects. */
  readonly onReport?: ((data: ReportJobData, batch: Batch) => Promise<void>) | undefined;
  /** No other worker is to write it: what cannot be done here has failed. */
  readonly isAlone?: boolean;
}

/**
 * The report of a batch, once its clips are all done or finally failed. One at a time; it takes no place of a
 * clip's.
 */
export function reportSource(options: ReportSourceOptions): JobSource {
  let isWriting = false;
  return {
    queue: options.queue,
    onEnd: options.onEnd,
    hasRoom: () => !isWriting,
    async handle(job) {
      isWriting = true;
      try {
        return await handle(job, options);
      } finally {
        isWriting = false;
      }
    },
  };
}

async function handle(job: Job, options: ReportSourceOptions): Promise<JobEnd> {
  const parsed = reportJobData.safeParse(job.data);
  if (!parsed.success) return { is: 'failed', why: 'bad-job: the job data is not a report job' };
  const { out, batch } = parsed.data;
  const { redis, site, log, stop, isAlone = false } = options;
  // It runs early: the clips it waited for were taken off the queue.
  if (await isSuperseded(parsed.data, redis)) return { is: 'done', value: { state: 'superseded' } };
  const elsewhere = await whyNotHere(parsed.data, site.roots);
  if (elsewhere !== null) return { is: isAlone ? 'failed' : 'cannot', why: elsewhere };
  try {
    await requireReportWritable(out, site.roots);
    const now = new Date().toISOString();
    const written = await handleReport(out, 'finished', now, { ...site, log, signal: stop });
    log.info({ batch, out }, 'report written');
    await options.onReport?.(parsed.data, written);
    return { is: 'done', value: { batch } };
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    log.error({ batch, err: error }, why);
    if (error instanceof GoodgateError && error.code === 'outside-roots' && !isAlone)
      return { is: 'cannot', why };
    const isWorld = !(error instanceof GoodgateError) || error.family === 'world';
    return { is: isWorld ? 'again' : 'failed', why };
  }
}
