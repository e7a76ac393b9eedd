import { GoodgateError } from '../../jobs/errors.js';
import type { Batch } from '../../jobs/plan/batch.js';
import type { Plan } from '../../jobs/plan/plan.js';
import type { Submission } from '../../jobs/plan/submission.js';
import type { ClipJobData } from '../../jobs/queue/messages.js';
import { batchQueues } from '../../jobs/queue/names.js';
import { forgetRun, queueBatch } from '../../planner/queue-batch.js';
import { readBatch } from '../../workers/batch/assemble.js';
import { below, LOG_FILE } from '../../workers/batch/folder.js';
import type { Log, Site } from '../../workers/clip-context.js';
import { handleReport } from '../../workers/handle-report.js';
import { giveNotice, NOBODY, type NoticeTo } from '../../workers/notice/give-notice.js';
import { ProbedOutputs } from '../../workers/probed-outputs.js';
import { clipSource } from '../../workers/queue/clip-source.js';
import { Places } from '../../workers/queue/places.js';
import { reportSource } from '../../workers/queue/report-source.js';
import { takeJobs } from '../../workers/queue/take-jobs.js';
import type { Environment } from '../environment.js';
import { learner } from '../experience/learner.js';
import { lockPlan } from '../lock-folder.js';
import { type LogLevel, startLogging } from '../logging.js';
import { type OpenQueue, openQueue } from '../open-queue.js';
import { inOrder } from '../plan/fit-by.js';
import type { Prepared } from '../prepare-plan.js';
import { batchProgress } from '../progress/batch-progress.js';
import { jobsToDo, openBatchFolder } from './batch-folder.js';
import { followBatch } from './follow-batch.js';
import { newSubmission } from './new-submission.js';
import { rememberBatch } from './remembered-batches.js';
import { restoreBatch } from './restore-batch.js';

export interface RunOptions {
  readonly environment: Environment;
  readonly redis: string | undefined;
  readonly logLevel: LogLevel;
  readonly signal: AbortSignal;
  /** The batch folder may hold another batch, which this one takes the place of. */
  readonly replace?: boolean;
  /** Clips that matter most are begun first (plan/fit-by.ts). */
  readonly mattersFirst?: boolean;
  /** Whom to tell when its report is written. */
  readonly notify?: NoticeTo | undefined;
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

/**
 * Queues a plan and works on it here until its report is written. Aborting stops running ffmpegs, returns
 * their jobs to the queue, and writes the report of what there is.
 *
 * @throws GoodgateError of any family; the batch folder is consistent whenever it does.
 */
export async function runBatch(planned: Prepared, options: RunOptions): Promise<Batch> {
  const { replace = false } = options;
  const { lock, prepared } = await lockPlan(planned, options.signal);
  try {
    const { plan } = prepared;
    if (plan.jobs.length === 0) {
      const now = new Date().toISOString();
      await openBatchFolder(prepared, now, replace, null);
      const batch = await handleReport(plan.out, 'finished', now);
      const { log, flush } = startLogging({ level: options.logLevel, file: below(plan.out, LOG_FILE) });
      // Nothing was submitted: the time alone tells this run from others.
      await giveNotice(plan.out, `${Date.parse(now)}`, batch, options.notify ?? NOBODY, {
        log,
        signal: options.signal,
      });
      flush();
      return batch;
    }
    const queue = await openQueue(options.environment, options.redis);
    try {
      const submission = await newSubmission(prepared, queue.redis, { shared: false });
      const batch = await openBatchFolder(prepared, submission.submittedAt, replace, submission);
      await rememberBatch(options.environment.stateFolder, plan.out, queue.server);
      return await runSubmission(prepared, { submission, wanted: jobsToDo(batch) }, queue, options);
    } finally {
      await queue.close();
    }
  } finally {
    await lock.release();
  }
}

/** Puts the batch of an opened folder on the queue, and does it. */
async function runSubmission(
  prepared: Prepared,
  { submission, wanted }: { readonly submission: Submission; readonly wanted: ReadonlySet<string> },
  { redis, server }: OpenQueue,
  { environment, logLevel, signal, notify = NOBODY, mattersFirst = false }: RunOptions,
): Promise<Batch> {
  const { plan } = prepared;
  const { log, flush } = startLogging({ level: logLevel, file: below(plan.out, LOG_FILE) });
  const queued = mattersFirst ? { ...plan, jobs: inOrder(plan.jobs) } : plan;
  const entry = await queueBatch(queued, submission, redis, wanted);
  const site: Site = {
    capabilities: prepared.capabilities,
    version: prepared.version,
    roots: [plan.root, ...plan.joined, plan.out, ...looksOf(plan)],
    tools: environment.tools,
    probed: new ProbedOutputs(),
  };
  const toDo = { ...plan, jobs: plan.jobs.filter(({ id }) => wanted.has(id)) };
  const progress = batchProgress(toDo, (job) => `${plan.id}-${entry.run}-${job}`, {
    signal,
  });
  const queues = batchQueues(plan.id);
  const { stateFolder } = environment;
  const learns = learner({ stateFolder, redis: server.kind === 'named' ? redis : null, log });
  const places = new Places(plan.totals.workers);
  const logFor = ({ batch, job }: ClipJobData): Log => log.child({ batch, job: job.id });
  const sources = [
    clipSource({
      ...{ redis, queue: queues.clips, site, places, stop: signal, log, logFor },
      onlooker: learns,
    }),
    reportSource({
      ...{ redis, queue: queues.reports, site, log, stop: signal, isAlone: true },
      async onReport(_, batch) {
        await giveNotice(plan.out, entry.run, batch, notify, { log, signal });
      },
    }),
  ];
  const jobs = takeJobs({ redis, sources: () => sources, stop: signal, log });
  try {
    const { end, reason } = await followBatch(entry, server, redis, {
      ...{ signal, onChange: progress.change },
      restore: () => restoreBatch(plan.out, submission, redis),
    });
    if (end === 'failed') {
      throw new GoodgateError('cannot-write', {
        what: `the report could not be written: ${reason}`,
        where: plan.out,
        next: 'mend the cause and run it again: nothing that is done is done twice',
      });
    }
    progress.stop();
    await closeSoon(jobs.close());
    await closeSoon(learns.settled());
    // The folder is the record now; what an interrupted run left is found there, not on its queue.
    await closeSoon(forgetRun(entry, redis));
    const state = end === 'finished' ? 'finished' : 'interrupted';
    // The report of a finished batch is written: that is what finished means.
    const written = end === 'finished' ? await readBatch(plan.out) : null;
    return written ?? (await handleReport(plan.out, state, new Date().toISOString()));
  } finally {
    progress.stop();
    await closeSoon(jobs.close());
    flush();
  }
}
