import { stat } from 'node:fs/promises';
import type { Queue } from 'bullmq';
import type { Redis } from 'ioredis';
import type { BatchClip } from '../../jobs/plan/batch.js';
import type { Submission } from '../../jobs/plan/submission.js';
import { type BatchEntry, clipProgress } from '../../jobs/queue/messages.js';
import { batchQueues } from '../../jobs/queue/names.js';
import { openQueueNamed } from '../../jobs/queue/open-queues.js';
import type { Presence } from '../../jobs/queue/present-workers.js';
import { readBatch, readPlan, readResult, readSubmission } from '../../workers/batch/assemble.js';
import { below, REPORT_FILE } from '../../workers/batch/folder.js';

export interface ClipState {
  readonly clip: string;
  /** waiting, active, delayed (to be tried again), completed, failed; `unknown`: nothing tells. */
  readonly state: 'waiting' | 'active' | 'delayed' | 'completed' | 'failed' | 'unknown';
  readonly fraction: number | null;
  readonly reason: string | null;
}

/** How a batch stands, by its server or by its folder. */
export interface BatchState {
  readonly batch: string;
  readonly title: string;
  readonly out: string;
  readonly submittedAt: string;
  readonly by: Submission['by'] | null;
  readonly clips: readonly ClipState[];
  /** `failed`: it could not be written, `reason` says why. `path`: where it lies, if it does. */
  readonly report: {
    readonly state: 'waiting' | 'written' | 'failed';
    readonly path: string | null;
    readonly reason: string | null;
  };
  /** What a person should know, in sentences. */
  readonly notes: readonly string[];
}

/** A batch that the server knows. What it lost of it, the folder tells. */
export async function stateOnServer(
  entry: BatchEntry,
  redis: Redis,
  present: readonly Presence[],
): Promise<BatchState> {
  const names = batchQueues(entry.id);
  const clips = openQueueNamed(names.clips, redis);
  const reports = openQueueNamed(names.reports, redis);
  try {
    const job = await reports.getJob(entry.reportQueueId);
    const state = job === undefined ? null : await job.getState();
    const isWritten = state === 'completed' || (state === null && (await isFinished(entry.out)));
    const { id, title, out, submittedAt, by } = entry;
    return {
      ...{ batch: id, title, out, submittedAt, by },
      clips: await Promise.all(entry.jobs.map((each) => clipState(each, clips, out))),
      report: {
        state: isWritten ? 'written' : state === 'failed' ? 'failed' : 'waiting',
        path: isWritten ? await reportIn(out) : null,
        reason: state === 'failed' ? (job?.failedReason ?? 'no reason was given') : null,
      },
      notes: isWritten || state === 'failed' || !entry.shared ? [] : workerNotes(id, present),
    };
  } finally {
    await Promise.allSettled([clips.close(), reports.close()]);
  }
}

async function clipState(
  { queueId, job: id, clip }: BatchEntry['jobs'][number],
  queue: Queue,
  out: string,
): Promise<ClipState> {
  const job = await queue.getJob(queueId);
  if (job === undefined) return stateByResult(clip, await readResult(out, id), 'unknown');
  const progress = clipProgress.safeParse(job.progress).data;
  const state = stateOf(await job.getState());
  const isAgain = state === 'active' && progress?.stage === 'again';
  return {
    clip,
    state: isAgain ? 'delayed' : state,
    fraction: progress?.fraction ?? null,
    reason: isAgain ? progress.detail : (job.failedReason ?? null),
  };
}

/** The words of the queue, told as ours. */
function stateOf(word: string): ClipState['state'] {
  if (word === 'completed' || word === 'failed' || word === 'active' || word === 'delayed') return word;
  return word === 'unknown' ? 'unknown' : 'waiting';
}

function stateByResult(clip: string, result: BatchClip | null, without: 'waiting' | 'unknown'): ClipState {
  const state =
    result === null
      ? without
      : ({ done: 'completed', failed: 'failed', waiting: without } as const)[result.state];
  return { clip, state, fraction: null, reason: result?.error?.what ?? null };
}

/** What the workers there are say of a batch. Pure. */
export function workerNotes(batch: string, present: readonly Presence[]): string[] {
  if (present.length === 0) return ['no worker is there: start one with goodgate work'];
  const notes = present.flatMap(({ host, pid, aside, leaves }) => {
    const worker = `the worker on ${host} (process ${pid})`;
    const why = leaves[batch];
    if (why !== undefined) return [`${worker} leaves it to others: ${why}`];
    return aside === null ? [] : [`${worker} stands aside: ${aside}`];
  });
  const isLeft = notes.length === present.length;
  return isLeft ? ['no worker that is there takes it', ...notes] : notes;
}

async function isFinished(out: string): Promise<boolean> {
  return (await readBatch(out))?.state === 'finished';
}

async function reportIn(out: string): Promise<string | null> {
  const path = below(out, REPORT_FILE);
  return (await stat(path).catch(() => null))?.isFile() ? path : null;
}

/** A batch as its folder tells it; null where the folder holds none, or is not there. */
export async function stateInFolder(out: string): Promise<BatchState | null> {
  const [plan, batch, submission] = await Promise.all([readPlan(out), readBatch(out), readSubmission(out)]);
  if (plan === null || batch === null) return null;
  const clips = await Promise.all(
    plan.jobs.map(async ({ id, clip }) => stateByResult(clip.name, await readResult(out, id), 'waiting')),
  );
  const isRunning = batch.state === 'running';
  return {
    ...{ batch: batch.id, title: batch.title, out, clips },
    submittedAt: submission?.submittedAt ?? batch.startedAt,
    by: submission?.by ?? null,
    report: {
      state: isRunning ? 'waiting' : 'written',
      path: isRunning ? null : await reportIn(out),
      reason: null,
    },
    notes: folderNotes(batch.state, submission),
  };
}

function folderNotes(state: 'running' | 'finished' | 'interrupted', submission: Submission | null): string[] {
  if (state === 'finished') return [];
  if (state === 'interrupted') return ['it was interrupted: the same goodgate run does what is missing'];
  return submission?.shared
    ? [
        'this server does not know it: goodgate work on the machine it was submitted on puts it back, or goodgate submit; what is whole stays',
      ]
    : ['its run is at work on another server, or was killed: the same goodgate run does what is missing'];
}
