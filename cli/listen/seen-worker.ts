import { setTimeout as sleep } from 'node:timers/promises';
import type { Redis } from 'ioredis';
import type { Software } from '../../jobs/plan/submission.js';
import type { Places } from '../../workers/queue/places.js';
import type { JobSource } from '../../workers/queue/take-jobs.js';
import type { BatchWork } from '../../workers/queue/work-batches.js';
import type { ListenAddress } from './listen-address.js';
import { countQueue } from './queue-figures.js';
import { type Listener, serveFigures } from './serve-figures.js';
import { WorkerFigures } from './worker-figures.js';

/** The queue has so long to answer: who asks for figures waits for it. */
const ANSWER_MS = 3_000;

/** A worker as far as it is seen from outside. */
export interface SeenWorker {
  readonly software: Software;
  readonly stop: AbortSignal;
  /** What it works with; null while it starts. */
  works: {
    readonly redis: Redis;
    readonly places: Places;
    readonly batches: Pick<BatchWork, 'aside'>;
  } | null;
}

export interface Outside extends Listener {
  readonly figures: WorkerFigures;
  /** The same listener, with the figures told first of how a job ended. */
  telling(kind: 'clip' | 'report', onEnd: JobSource['onEnd']): NonNullable<JobSource['onEnd']>;
}

/**
 * Lets a worker be seen from outside: its figures and its health.
 *
 * @throws GoodgateError `bad-option` where nothing can listen at that address
 */
export async function listenForWorker(address: ListenAddress, worker: SeenWorker): Promise<Outside> {
  const figures = new WorkerFigures({
    software: worker.software,
    state: () => ({
      takesClips: worker.works?.batches.aside === null && !worker.stop.aborted,
      isOpen: worker.works?.places.isOpen ?? false,
      places: worker.works?.places.all ?? 0,
    }),
    async countQueue() {
      const redis = worker.works?.redis;
      return redis === undefined ? null : inTime(redis, () => countQueue(redis));
    },
  });
  const listener = await serveFigures(address, {
    figures: () => figures.text(),
    whyUnhealthy: () => whyUnhealthy(worker),
  });
  return {
    ...listener,
    figures,
    telling: (kind, onEnd) => (job, end, seconds) => {
      figures.ended(kind, end);
      onEnd?.(job, end, seconds);
    },
  };
}

/** The reason names nothing that is worked on: anybody who reaches the port reads it. */
async function whyUnhealthy({ works, stop }: SeenWorker): Promise<string | null> {
  if (stop.aborted) return 'it is being stopped';
  if (works === null) return 'it is starting';
  const { batches, redis } = works;
  if ((await inTime(redis, () => redis.ping())) === null) return 'the queue does not answer';
  return batches.aside === null ? null : 'it stands aside after failures: goodgate status says why';
}

/** An answer of the server; null where none comes in time: a lost one is waited for without end. */
async function inTime<T>(redis: Redis, ask: () => Promise<T>): Promise<T | null> {
  if (redis.status !== 'ready') return null;
  const timer = new AbortController();
  const late = sleep(ANSWER_MS, null, { signal: timer.signal }).catch(() => null);
  try {
    return await Promise.race([ask().catch(() => null), late]);
  } finally {
    timer.abort();
  }
}
