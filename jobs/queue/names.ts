import { createHash } from 'node:crypto';

/** Queue names (BullMQ allows no colon in them) and the prefix of every key goodgate keeps in Redis. */
export const KEY_PREFIX = 'goodgate';

/** The two queues a batch goes through. */
export interface QueueNames {
  /** One job per clip: one decode, every output, the measurements and verdicts. */
  readonly clips: string;
  /** The root of each batch's flow: runs when every clip is done, and writes the report. */
  readonly reports: string;
}

/** What is submitted, for any worker. */
export const SHARED_QUEUES: QueueNames = { clips: 'clips', reports: 'reports' };

/**
 * Queues of one run alone. A `run` does its own work and nobody else's: the folders it may use are those of
 * its own batch, and a clip of another batch would only be refused.
 */
export function ownQueues(batch: string): QueueNames {
  return { clips: `clips-${batch}`, reports: `reports-${batch}` };
}

/**
 * Queue of parts of long files, for workers that measure alike to the last bit and no others.
 *
 * @param alike what the figures may depend on: versions, the processor's architecture
 */
export function partsQueue(alike: readonly string[]): string {
  return `parts-${createHash('sha256').update(JSON.stringify(alike)).digest('hex').slice(0, 12)}`;
}

/** String, there while somebody waits for parts of a file; without it they are not wanted any more. */
export function requesterKey(requester: string): string {
  return `${KEY_PREFIX}:requester:${requester}`;
}

/** Set: the workers of a parts queue. */
export function workersKey(queue: string): string {
  return `${KEY_PREFIX}:workers:${queue}`;
}

/**
 * Strings, one of each worker of a parts queue: how many places it has idle. They vanish soon after a worker
 * that dies.
 */
export function idleKey(queue: string, worker: string): string {
  return `${KEY_PREFIX}:idle:${queue}:${worker}`;
}

/** Hash: batch id -> BatchEntry as JSON. */
export const BATCHES_KEY = `${KEY_PREFIX}:batches`;
