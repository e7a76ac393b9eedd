import { createHash } from 'node:crypto';

/** Queue names (BullMQ allows no colon in them) and the prefix of every key goodgate keeps in Redis. */
export const KEY_PREFIX = 'goodgate';

/** The two queues of a batch. */
export interface QueueNames {
  /** One job per clip: one decode, every output, the measurements and verdicts. */
  readonly clips: string;
  /** The root of the batch's flow: runs when every clip is done, and writes the report. */
  readonly reports: string;
}

/** Each batch has queues of its own: a worker takes from those alone whose batches it can reach and do. */
export function batchQueues(batch: string): QueueNames {
  return { clips: `clips-${batch}`, reports: `reports-${batch}` };
}

/**
 * Queue of parts of long files, only for workers whose figures are identical to the last bit.
 *
 * @param alike everything the figures depend on: versions, processor architecture
 */
export function partsQueue(alike: readonly string[]): string {
  return `parts-${createHash('sha256').update(JSON.stringify(alike)).digest('hex').slice(0, 12)}`;
}

/** String that exists while a worker waits for parts of a file; without it nobody needs them. */
export function requesterKey(requester: string): string {
  return `${KEY_PREFIX}:requester:${requester}`;
}

/** Set: the workers of a parts queue. */
export function workersKey(queue: string): string {
  return `${KEY_PREFIX}:workers:${queue}`;
}

/**
 * Strings, one per worker of a parts queue: its number of idle slots. They expire soon after a worker dies.
 */
export function idleKey(queue: string, worker: string): string {
  return `${KEY_PREFIX}:idle:${queue}:${worker}`;
}

/** Hash: batch id -> BatchEntry as JSON. */
export const BATCHES_KEY = `${KEY_PREFIX}:batches`;

/** List: the clips of a batch in the order of its plan, each a ListedClip as JSON. */
export function listedClipsKey(batch: string): string {
  return `${KEY_PREFIX}:listed:${batch}`;
}

/** Id of a job of a batch on its queue. */
export function queueIdOf({ id, run }: { readonly id: string; readonly run: string }, job: string): string {
  return `${id}-${run}-${job}`;
}

/** Hash: batch id -> run, of batches whose report is not written yet. */
export const OPEN_KEY = `${KEY_PREFIX}:open`;

/** String: a mark that is gone when the server lost what it was given. */
export const MEMORY_KEY = `${KEY_PREFIX}:memory`;

/** Set: ids of the workers there are; some may be gone. */
export const PRESENT_KEY = `${KEY_PREFIX}:present`;

/** String: what a worker tells of itself. It vanishes soon after a worker that dies. */
export function presenceKey(worker: string): string {
  return `${KEY_PREFIX}:present:${worker}`;
}

/** Set: ids of the workers at which a job failed at once. It expires. */
export function failedAtKey(queue: string, job: string): string {
  return `${KEY_PREFIX}:failed-at:${queue}:${job}`;
}

/** Hash: id of a job of a queue -> who cancelled it. */
export function cancelledKey(queue: string): string {
  return `${KEY_PREFIX}:cancelled:${queue}`;
}

/** Sorted set: kinds of work that was finished, by when. */
export const EXPERIENCE_KEY = `${KEY_PREFIX}:experience`;

/** List: what the last finished work of a kind came to, the latest first. */
export function experienceKey(kind: string): string {
  return `${KEY_PREFIX}:experience:${kind}`;
}

/** String, there while somebody puts a batch that the server lost back on it. */
export function restoringKey(batch: string): string {
  return `${KEY_PREFIX}:restoring:${batch}`;
}
