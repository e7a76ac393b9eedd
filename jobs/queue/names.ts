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
 * Queues of one run alone. A `run` does its own work and nobody else's: the folders it may use are those of its
 * own batch, and a clip of another batch would only be refused.
 */
export function ownQueues(batch: string): QueueNames {
  return { clips: `clips-${batch}`, reports: `reports-${batch}` };
}

/** Hash: batch id -> BatchEntry as JSON. */
export const BATCHES_KEY = `${KEY_PREFIX}:batches`;
