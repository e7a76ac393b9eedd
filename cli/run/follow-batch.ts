import { setTimeout as sleep } from 'node:timers/promises';
import type { QueueEvents } from 'bullmq';
import type { Redis } from 'ioredis';
import { readBatchEntry } from '../../jobs/queue/batch-entries.js';
import type { RedisServer } from '../../jobs/queue/connection.js';
import { connect } from '../../jobs/queue/connection.js';
import { type BatchEntry, type ClipProgress, clipProgress } from '../../jobs/queue/messages.js';
import { batchQueues, queueIdOf } from '../../jobs/queue/names.js';
import { listenToQueue, openQueueNamed } from '../../jobs/queue/open-queues.js';

export type ClipChange =
  | { readonly kind: 'progress'; readonly queueId: string; readonly progress: ClipProgress }
  | {
      readonly kind: 'started' | 'done' | 'failed' | 'retrying';
      readonly queueId: string;
      readonly reason: string;
    };

/** Events may be lost while Redis is away; the state is asked for as well. */
const ASK_EVERY_MS = 2_000;

export interface FollowOptions {
  readonly signal: AbortSignal;
  readonly onChange: (change: ClipChange) => void;
  /** Puts the batch back on a server that lost it: its folder is the truth. */
  readonly restore: () => Promise<unknown>;
}

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
  options: FollowOptions,
): Promise<{ end: 'finished' | 'failed' | 'aborted'; reason: string }> {
  // Jobs of an earlier run of the batch may end as well.
  const isMine = (queueId: string): boolean => queueId.startsWith(queueIdOf(entry, ''));
  // Each waits on a connection of its own, which is ours to end: one left open would keep the process alive.
  const connections: Redis[] = [];
  const listenTo = (queue: string): QueueEvents => {
    const connection = connect(server);
    connections.push(connection);
    return listenToQueue(queue, connection);
  };
  const queues = batchQueues(entry.id);
  const events = listenTo(queues.clips);
  const change = (kind: 'started' | 'done' | 'failed' | 'retrying', queueId: string, reason = '') => {
    if (isMine(queueId)) options.onChange({ kind, queueId, reason });
  };
  events.on('active', ({ jobId }) => change('started', jobId));
  events.on('completed', ({ jobId }) => change('done', jobId));
  events.on('failed', ({ jobId, failedReason }) => change('failed', jobId, failedReason));
  events.on('progress', ({ jobId, data }) => {
    if (!isMine(jobId)) return;
    const progress = clipProgress.safeParse(data);
    if (progress.data?.stage === 'again') change('retrying', jobId, progress.data.detail);
    else if (progress.success)
      options.onChange({ kind: 'progress', queueId: jobId, progress: progress.data });
  });
  // The report's own events end the wait for it; asking again is for events that were lost.
  const reportEvents = listenTo(queues.reports);
  let news = new AbortController();
  reportEvents.on('completed', () => news.abort());
  reportEvents.on('failed', () => news.abort());
  const reports = openQueueNamed(queues.reports, redis);
  try {
    for (;;) {
      if (options.signal.aborted) return { end: 'aborted', reason: '' };
      // Renewed before asking: what happens from here on ends the sleep below.
      news = new AbortController();
      const job = await reports.getJob(entry.reportQueueId);
      const state = await job?.getState();
      if (state === 'completed') return { end: 'finished', reason: '' };
      if (state === 'failed') return { end: 'failed', reason: job?.failedReason ?? 'unknown' };
      if (job === undefined) {
        if ((await readBatchEntry(entry.id, redis)) !== null)
          return { end: 'failed', reason: 'the batch was taken off the queue' };
        await options.restore();
      }
      const wake = AbortSignal.any([options.signal, news.signal]);
      await sleep(ASK_EVERY_MS, undefined, { signal: wake }).catch(() => undefined);
    }
  } finally {
    await Promise.allSettled([events.close(), reportEvents.close(), reports.close()]);
    for (const connection of connections) connection.disconnect();
  }
}
