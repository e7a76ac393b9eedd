import type { Redis } from 'ioredis';
import { Gauge, type Registry } from 'prom-client';
import { readOpenRuns } from '../../jobs/queue/batch-entries.js';
import { batchQueues } from '../../jobs/queue/names.js';
import { openQueueNamed } from '../../jobs/queue/open-queues.js';
import { readPresent } from '../../jobs/queue/present-workers.js';

const STATES = ['waiting', 'active', 'paused', 'done', 'failed'] as const;

/** What is on the server, in sum over its open batches. */
export interface QueueCounts {
  readonly clips: Readonly<Record<(typeof STATES)[number], number>>;
  readonly batches: number;
  readonly workers: number;
}

/** More open batches than this are counted and not looked into: an answer has to come at once. */
const LOOKED_INTO = 200;

/**
 * Counts the clips of every open batch.
 *
 * @param redis an open connection; one that waits for a lost server never answers: set a limit
 */
export async function countQueue(redis: Redis): Promise<QueueCounts> {
  const open = [...(await readOpenRuns(redis)).keys()];
  const clips = { waiting: 0, active: 0, paused: 0, done: 0, failed: 0 };
  for (const batch of open.slice(0, LOOKED_INTO)) {
    const queue = openQueueNamed(batchQueues(batch).clips, redis);
    try {
      const isPaused = await queue.isPaused();
      const counts = await queue.getJobCounts();
      const waiting = (counts.waiting ?? 0) + (counts.prioritized ?? 0) + (counts.delayed ?? 0);
      clips[isPaused ? 'paused' : 'waiting'] += waiting + (counts.paused ?? 0);
      clips.active += counts.active ?? 0;
      clips.done += counts.completed ?? 0;
      clips.failed += counts.failed ?? 0;
    } finally {
      await queue.close();
    }
  }
  return { clips, batches: open.length, workers: (await readPresent(redis)).length };
}

/** Figures of the queue, asked anew for every answer. */
export class QueueFigures {
  readonly #count: () => Promise<QueueCounts | null>;
  readonly #up: Gauge;
  readonly #clips: Gauge<'state'>;
  readonly #batches: Gauge;
  readonly #workers: Gauge;

  constructor(registry: Registry, count: () => Promise<QueueCounts | null>) {
    this.#count = count;
    const registers = [registry];
    this.#up = new Gauge({
      ...{ name: 'goodgate_queue_up', help: '1: the server of the queue answers', registers },
    });
    this.#clips = new Gauge({
      ...{ name: 'goodgate_queue_clips', help: 'Clips of open batches on the queue, by state', registers },
      labelNames: ['state'],
    });
    this.#batches = new Gauge({
      ...{ name: 'goodgate_queue_batches', help: 'Batches whose report is not written', registers },
    });
    this.#workers = new Gauge({
      ...{ name: 'goodgate_queue_workers', help: 'Workers the server has heard of lately', registers },
    });
  }

  /** Without an answer there are no figures of the queue: old ones would be taken for new. */
  async ask(): Promise<void> {
    const counts = await this.#count();
    this.#up.set(counts === null ? 0 : 1);
    // Removed, not set to 0: that would say that nothing waits.
    for (const gauge of [this.#batches, this.#workers]) gauge.remove();
    this.#clips.reset();
    if (counts === null) return;
    this.#batches.set(counts.batches);
    this.#workers.set(counts.workers);
    for (const state of STATES) this.#clips.set({ state }, counts.clips[state]);
  }
}
