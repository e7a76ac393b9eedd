import { randomBytes } from 'node:crypto';
import { GoodgateError } from '../../jobs/errors.js';
import type { Batch } from '../../jobs/plan/batch.js';
import type { Plan } from '../../jobs/plan/plan.js';
import { ownQueues } from '../../jobs/queue/names.js';
import { forgetRun, queueBatch } from '../../planner/queue-batch.js';
import { readBatch } from '../../workers/batch/assemble.js';
import { below, LOG_FILE } from '../../workers/batch/folder.js';
import type { Site } from '../../workers/clip-context.js';
import { handleReport } from '../../workers/handle-report.js';
import { startClipWorker } from '../../workers/queue/clip-worker.js';
import { Places } from '../../workers/queue/places.js';
import { startReportWorker } from '../../workers/queue/report-worker.js';
import type { Environment } from '../environment.js';
import { lockFolder } from '../lock-folder.js';
import { type LogLevel, startLogging } from '../logging.js';
import { openQueue } from '../open-queue.js';
import type { Prepared } from '../prepare-plan.js';
import { batchProgress } from '../progress/batch-progress.js';
import { openBatchFolder } from './batch-folder.js';
import { followBatch } from './follow-batch.js';

export interface RunOptions {
  readonly environment: Environment;
  readonly redis: string | undefined;
  readonly logLevel: LogLevel;
  readonly signal: AbortSignal;
  /** The batch folder may hold another batch, which this one takes the place of. */
  readonly replace?: boolean;
}

/** A look may lie anywhere: the manifest's author named the very file. */
function looksOf(plan: Plan): string[] {
  const outputs = plan.jobs.flatMap((job) => job.outputs);
  return [...new Set(outputs.flatMap(({ recipe }) => recipe.rendering?.look?.file ?? []))];
}

/** With Redis gone, closing would wait for it to come back; what matters is in the batch folder by then. */
const CLOSING_MS = 5_000;

async function closeSoon(closing: Promise<unknown>): Promise<void> {
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<void>((resolve) => {
    timer = setTimeout(resolve, CLOSING_MS);
  });
  await Promise.race([closing.catch(() => undefined), late]);
  clearTimeout(timer);
}

/** Unique per submission, sortable by time. */
export function newRun(now: Date): string {
  return `${now.getTime().toString(36)}${randomBytes(3).toString('hex')}`;
}

/**
 * Queues a plan and works on it here until its report is written. Aborting stops running ffmpegs, returns
 * their jobs to the queue, and writes the report of what there is.
 *
 * @throws GoodgateError of any family; the batch folder is consistent whenever it does.
 */
export async function runBatch(prepared: Prepared, options: RunOptions): Promise<Batch> {
  const { plan } = prepared;
  const lock = await lockFolder(plan.out, options.signal);
  try {
    const startedAt = new Date();
    await openBatchFolder(prepared, startedAt.toISOString(), options.replace ?? false);
    if (plan.jobs.length === 0) return await handleReport(plan.out, 'finished', startedAt.toISOString());
    const logging = startLogging({ level: options.logLevel, file: below(plan.out, LOG_FILE) });
    const queue = await openQueue(options.environment, options.redis);
    try {
      const entry = await queueBatch(plan, queue.redis, {
        run: newRun(startedAt),
        queues: ownQueues(plan.id),
        submittedAt: startedAt.toISOString(),
      });
      const site: Site = {
        capabilities: prepared.capabilities,
        version: prepared.version,
        roots: [plan.root, plan.out, ...looksOf(plan)],
        tools: options.environment.tools,
      };
      const progress = batchProgress(plan, (job) => `${plan.id}-${entry.run}-${job}`);
      const clips = startClipWorker({
        redis: queue.redis,
        queue: entry.queues.clips,
        site,
        places: new Places(plan.totals.workers),
        stop: options.signal,
        log: logging.log,
        logFor: (data) => logging.log.child({ batch: data.batch, job: data.job.id }),
      });
      const reports = startReportWorker({
        redis: queue.redis,
        queue: entry.queues.reports,
        site,
        log: logging.log,
        stop: options.signal,
      });
      try {
        const { end, reason } = await followBatch(entry, queue.server, queue.redis, {
          signal: options.signal,
          onChange: progress.change,
        });
        if (end === 'failed') {
          throw new GoodgateError('cannot-write', {
            what: `the report could not be written: ${reason}`,
            where: plan.out,
            next: 'mend the cause and run it again: nothing that is done is done twice',
          });
        }
        progress.stop();
        await closeSoon(Promise.allSettled([clips.close(), reports.close()]));
        // The folder is the record now; what an interrupted run left is found there, not on its queue.
        await closeSoon(forgetRun(entry, queue.redis));
        // The report of a finished batch is written: that is what finished means.
        const written = end === 'finished' ? await readBatch(plan.out) : null;
        return (
          written ??
          (await handleReport(
            plan.out,
            end === 'finished' ? 'finished' : 'interrupted',
            new Date().toISOString(),
          ))
        );
      } finally {
        progress.stop();
        await closeSoon(Promise.allSettled([clips.close(), reports.close()]));
      }
    } finally {
      await queue.close();
      logging.flush();
    }
  } finally {
    await lock.release();
  }
}
