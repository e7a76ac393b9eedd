import { stat } from 'node:fs/promises';
import type { Queue } from 'bullmq';
import type { Redis } from 'ioredis';
import { type BatchClip, countVerdicts, type VerdictCounts } from '../../jobs/plan/batch.js';
import type { Submission } from '../../jobs/plan/submission.js';
import { type BatchEntry, clipAnswer, clipJobData, clipProgress } from '../../jobs/queue/messages.js';
import { batchQueues } from '../../jobs/queue/names.js';
import { openQueueNamed } from '../../jobs/queue/open-queues.js';
import type { Presence } from '../../jobs/queue/present-workers.js';
import { serverTime } from '../../jobs/queue/server-time.js';
import {
  readBatch,
  readPlan,
  readResult,
  readResults,
  readSubmission,
} from '../../workers/batch/assemble.js';
import { below, REPORT_FILE } from '../../workers/batch/folder.js';
import { noticeProblems, readNotice } from '../../workers/notice/give-notice.js';
import { secondsLeft, type TimedClip } from './estimate-end.js';

export interface ClipState extends TimedClip {
  readonly clip: string;
  /** Of its files, once it is done; null: nothing tells. */
  readonly verdicts: VerdictCounts | null;
  /** `delayed`: to be tried again; `unknown`: nothing tells. */
  readonly state: 'waiting' | 'active' | 'delayed' | 'completed' | 'failed' | 'cancelled' | 'unknown';
  readonly reason: string | null;
}

/** How a batch stands, by its server or by its folder. */
export interface BatchState {
  readonly batch: string;
  readonly title: string;
  readonly out: string;
  readonly submittedAt: string;
  readonly by: Submission['by'] | null;
  readonly priority: Submission['priority'];
  /** No clip of it is given out. */
  readonly paused: boolean;
  readonly clips: readonly ClipState[];
  /** Verdicts on the files of all clips that are done. */
  readonly verdicts: VerdictCounts;
  /** Workers that take its clips; null where no server tells. */
  readonly workers: number | null;
  /** About when its clips are done, by how long the done ones took; null while nothing tells. */
  readonly endsAt: string | null;
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
    const { id, title, out, submittedAt, by, priority } = entry;
    const paused = !isWritten && (await clips.isPaused());
    const states = await Promise.all(entry.jobs.map((each) => clipState(each, clips, out)));
    const left = paused ? null : secondsLeft(states);
    const now = (await serverTime(redis)).getTime();
    return {
      ...{ batch: id, title, out, submittedAt, by, priority, paused, clips: states },
      verdicts: sumVerdicts(states),
      workers: entry.shared ? present.filter((each) => takes(each, id)).length : null,
      endsAt: left === null ? null : new Date(now + left * 1000).toISOString(),
      report: {
        state: isWritten ? 'written' : state === 'failed' ? 'failed' : 'waiting',
        path: isWritten ? await reportIn(out) : null,
        reason: state === 'failed' ? (job?.failedReason ?? 'no reason was given') : null,
      },
      notes: [
        ...(paused ? [await pauseNote(out)] : []),
        ...(isWritten || state === 'failed' || !entry.shared ? [] : workerNotes(id, present)),
        ...(isWritten ? await noticeNotes(out) : []),
      ],
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
  const answer = clipAnswer.safeParse(job.returnvalue).data;
  const state = stateOf(await job.getState());
  const isAgain = state === 'active' && progress?.stage === 'again';
  const isCancelled = state === 'failed' && job.failedReason?.startsWith('cancelled:') === true;
  return {
    clip,
    state: isAgain ? 'delayed' : isCancelled ? 'cancelled' : state,
    fraction: progress?.fraction ?? null,
    planned: clipJobData.shape.job.shape.estimate.safeParse(job.data?.job?.estimate).data?.seconds ?? null,
    took: answer?.seconds ?? null,
    verdicts: answer?.verdicts ?? null,
    reason: isAgain ? progress.detail : (job.failedReason ?? null),
  };
}

/** The words of the queue, told as ours. */
function stateOf(word: string): ClipState['state'] {
  if (word === 'completed' || word === 'failed' || word === 'active' || word === 'delayed') return word;
  return word === 'unknown' ? 'unknown' : 'waiting';
}

function stateByResult(clip: string, result: BatchClip | null, without: 'waiting' | 'unknown'): ClipState {
  const failed = result?.error?.code === 'cancelled' ? 'cancelled' : 'failed';
  const state =
    result === null ? without : ({ done: 'completed', failed, waiting: without } as const)[result.state];
  const times = { planned: null, took: null, fraction: null };
  const verdicts = result?.state === 'done' ? countVerdicts(result) : null;
  return { clip, state, ...times, verdicts, reason: result?.error?.what ?? null };
}

function sumVerdicts(clips: readonly ClipState[]): VerdictCounts {
  const sum = { pass: 0, warn: 0, fail: 0 };
  for (const { verdicts } of clips) {
    for (const word of ['pass', 'warn', 'fail'] as const) sum[word] += verdicts?.[word] ?? 0;
  }
  return sum;
}

function takes({ leaves, aside }: Presence, batch: string): boolean {
  return aside === null && leaves[batch] === undefined;
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

async function pauseNote(out: string): Promise<string> {
  const by = (await readSubmission(out))?.paused ?? null;
  return `paused${by === null ? '' : ` by ${by.user} on ${by.host}`}: goodgate resume lets it go on`;
}

/** Who was not told that it is over. */
async function noticeNotes(out: string): Promise<string[]> {
  const told = await readNotice(out);
  return told === null ? [] : noticeProblems(told);
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
  // The folder may have moved since it was planned.
  const results = await readResults({ out, jobs: plan.jobs });
  const clips = plan.jobs.map(({ clip }, index) =>
    stateByResult(clip.name, results[index] ?? null, 'waiting'),
  );
  const isRunning = batch.state === 'running';
  return {
    ...{ batch: batch.id, title: batch.title, out, clips },
    submittedAt: submission?.submittedAt ?? batch.startedAt,
    by: submission?.by ?? null,
    priority: submission?.priority ?? 'normal',
    verdicts: sumVerdicts(clips),
    ...{ workers: null, endsAt: null },
    paused: isRunning && (submission?.paused ?? null) !== null,
    report: {
      state: isRunning ? 'waiting' : 'written',
      path: isRunning ? null : await reportIn(out),
      reason: null,
    },
    notes: [...folderNotes(batch.state, submission), ...(isRunning ? [] : await noticeNotes(out))],
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
