import { stat } from 'node:fs/promises';
import type { JobType, Queue } from 'bullmq';
import type { Redis } from 'ioredis';
import { type BatchClip, countVerdicts, type VerdictCounts } from '../../jobs/plan/batch.js';
import type { Submission } from '../../jobs/plan/submission.js';
import { NOT_WHOLE, readListedClips } from '../../jobs/queue/batch-entries.js';
import { type BatchEntry, clipAnswer, clipProgress, type ListedClip } from '../../jobs/queue/messages.js';
import { batchQueues, queueIdOf } from '../../jobs/queue/names.js';
import { openQueueNamed } from '../../jobs/queue/open-queues.js';
import type { Presence } from '../../jobs/queue/present-workers.js';
import { serverTime } from '../../jobs/queue/server-time.js';
import { atOnce } from '../../workers/at-once.js';
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
    // One that is not whole is held back by nobody's wish.
    const paused = !isWritten && entry.whole && (await clips.isPaused());
    const states = await clipStates(entry, await readListedClips(id, redis), clips, redis);
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
        ...(entry.whole || isWritten ? [] : [NOT_WHOLE]),
        ...(paused ? [await pauseNote(out)] : []),
        ...(isWritten || state === 'failed' || !entry.shared ? [] : workerNotes(id, present)),
        ...(isWritten ? await noticeNotes(out) : []),
      ],
    };
  } finally {
    await Promise.allSettled([clips.close(), reports.close()]);
  }
}

/** States of the queue's jobs, as it calls them, and as we do. */
const QUEUED = [
  ['waiting', ['waiting', 'prioritized', 'waiting-children']],
  ['delayed', ['delayed']],
  ['active', ['active']],
  ['completed', ['completed']],
  ['failed', ['failed']],
] as const satisfies readonly (readonly [ClipState['state'], readonly JobType[]])[];

/** So many are asked about at once. */
const ASKED_AT_ONCE = 1_000;

/** All clips at once, since a batch may have a hundred thousand: ids by state, and their details, if any. */
async function clipStates(
  entry: BatchEntry,
  listed: readonly ListedClip[],
  queue: Queue,
  redis: Redis,
): Promise<ClipState[]> {
  const states = new Map<string, ClipState['state']>();
  for (const [state, types] of QUEUED) {
    for (const id of await queue.getRanges([...types], 0, -1)) states.set(id, state);
  }
  const told = [...states].flatMap(([id, state]) => (state === 'waiting' ? [] : id));
  const details = await detailsOf(told, queue, redis);
  return atOnce(FOLDER_AT_ONCE, listed, async ({ job, clip, seconds }) => {
    const id = queueIdOf(entry, job);
    const state = states.get(id);
    if (state === undefined) return stateByResult(clip, await readResult(entry.out, job), 'unknown');
    return clipState(clip, seconds, state, details.get(id) ?? NO_DETAILS);
  });
}

/** Reading over a network waits more than it computes. */
const FOLDER_AT_ONCE = 16;

/** Fields of a job that tell how it goes: JSON, but for the last. */
interface JobDetails {
  readonly progress: string | null;
  readonly returnvalue: string | null;
  readonly failedReason: string | null;
}
const NO_DETAILS: JobDetails = { progress: null, returnvalue: null, failedReason: null };

async function detailsOf(
  ids: readonly string[],
  queue: Queue,
  redis: Redis,
): Promise<Map<string, JobDetails>> {
  const details = new Map<string, JobDetails>();
  for (let from = 0; from < ids.length; from += ASKED_AT_ONCE) {
    const some = ids.slice(from, from + ASKED_AT_ONCE);
    const rows = await Promise.all(
      some.map((id) => redis.hmget(queue.toKey(id), 'progress', 'returnvalue', 'failedReason')),
    );
    for (const [index, id] of some.entries()) {
      const [progress = null, returnvalue = null, failedReason = null] = rows[index] ?? [];
      details.set(id, { progress, returnvalue, failedReason });
    }
  }
  return details;
}

function clipState(
  clip: string,
  planned: number,
  state: ClipState['state'],
  { progress: told, returnvalue, failedReason }: JobDetails,
): ClipState {
  const progress = clipProgress.safeParse(fromJson(told)).data;
  const answer = clipAnswer.safeParse(fromJson(returnvalue)).data;
  const isAgain = state === 'active' && progress?.stage === 'again';
  const isCancelled = state === 'failed' && failedReason?.startsWith('cancelled:') === true;
  return {
    clip,
    state: isAgain ? 'delayed' : isCancelled ? 'cancelled' : state,
    fraction: progress?.fraction ?? null,
    planned,
    took: answer?.seconds ?? null,
    verdicts: answer?.verdicts ?? null,
    reason: isAgain ? progress.detail : failedReason,
  };
}

/** Whoever can write to the server may have written it. */
function fromJson(text: string | null): unknown {
  try {
    return text === null ? null : JSON.parse(text);
  } catch {
    return null;
  }
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
