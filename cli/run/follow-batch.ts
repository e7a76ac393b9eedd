import { Queue, QueueEvents } from 'bullmq';
import type { Redis } from 'ioredis';
import type { RedisServer } from '../../jobs/queue/connection.js';
import { connect } from '../../jobs/queue/connection.js';
import { type BatchEntry, type ClipProgress, clipProgress } from '../../jobs/queue/messages.js';
import { KEY_PREFIX } from '../../jobs/queue/names.js';

export type ClipChange =
  | { readonly kind: 'progress'; readonly queueId: string; readonly progress: ClipProgress }
  | {
      readonly kind: 'started' | 'done' | 'failed' | 'retrying';
      readonly queueId: string;
      readonly reason: string;
    };

/** Events may be lost while Redis is away; the state is asked for as well. */
const ASK_EVERY_MS = 2_000;

/**
 * Follows a batch on its queue until its report is written or `signal` aborts. Changes of each clip go to
 * `onChange`. Works for jobs done by any worker anywhere.
 *
 * @returns `finished`, `failed` (the report could not be written; `reason` says why) or `aborted`
 */
export async function followBatch(
  entry: BatchEntry,
  server: RedisServer,
  redis: Redis,
  options: { signal: AbortSignal; onChange: (change: ClipChange) => void },
): Promise<{ end: 'finished' | 'failed' | 'aborted'; reason: string }> {
  const mine = new Set(entry.jobs.map((job) => job.queueId));
  const eventConnection = connect(server);
  const events = new QueueEvents(entry.queues.clips, { connection: eventConnection, prefix: KEY_PREFIX });
  events.on('error', () => undefined);
  const change = (kind: 'started' | 'done' | 'failed' | 'retrying', queueId: string, reason = '') => {
    if (mine.has(queueId)) options.onChange({ kind, queueId, reason });
  };
  events.on('active', ({ jobId }) => change('started', jobId));
  events.on('completed', ({ jobId }) => change('done', jobId));
  events.on('failed', ({ jobId, failedReason }) => change('failed', jobId, failedReason));
  events.on('delayed', ({ jobId }) => change('retrying', jobId));
  events.on('progress', ({ jobId, data }) => {
    if (!mine.has(jobId)) return;
    const progress = clipProgress.safeParse(data);
    if (progress.success) options.onChange({ kind: 'progress', queueId: jobId, progress: progress.data });
  });
  const reports = new Queue(entry.queues.reports, { connection: redis, prefix: KEY_PREFIX });
  try {
    for (;;) {
      if (options.signal.aborted) return { end: 'aborted', reason: '' };
      const job = await reports.getJob(entry.reportQueueId);
      const state = await job?.getState();
      if (state === 'completed') return { end: 'finished', reason: '' };
      if (state === 'failed') return { end: 'failed', reason: job?.failedReason ?? 'unknown' };
      if (job === undefined) return { end: 'failed', reason: 'the batch was taken off the queue' };
      await pause(ASK_EVERY_MS, options.signal, events, entry);
    }
  } finally {
    await Promise.allSettled([events.close(), reports.close()]);
    eventConnection.disconnect();
  }
}

/** Waits for the next look: until time is up, the signal aborts, or a clip of the batch ends. */
function pause(ms: number, signal: AbortSignal, events: QueueEvents, entry: BatchEntry): Promise<void> {
  const mine = new Set(entry.jobs.map((job) => job.queueId));
  return new Promise((resolve) => {
    let shortened: NodeJS.Timeout | null = null;
    // The report follows the last clip by a moment: look again soon.
    const ended = ({ jobId }: { jobId: string }) => {
      if (mine.has(jobId)) shortened ??= setTimeout(done, 150);
    };
    const done = () => {
      clearTimeout(timer);
      if (shortened !== null) clearTimeout(shortened);
      signal.removeEventListener('abort', done);
      events.off('completed', ended);
      events.off('failed', ended);
      resolve();
    };
    const timer = setTimeout(done, ms);
    signal.addEventListener('abort', done, { once: true });
    events.on('completed', ended);
    events.on('failed', ended);
  });
}
