/** Queue names (BullMQ allows no colon in them) and the prefix of every key goodgate keeps in Redis. */
export const KEY_PREFIX = 'goodgate';
/** One job per clip: one decode, every output, the measurements and verdicts. */
export const CLIP_QUEUE = 'clips';
/** The root of each batch's flow: runs when every clip is done, and writes the report. */
export const REPORT_QUEUE = 'reports';
/** Hash: batch id -> BatchEntry as JSON. */
export const BATCHES_KEY = `${KEY_PREFIX}:batches`;

/** Smaller goes first (BullMQ). A person waits for `run`; nobody waits for `submit`. */
export const PRIORITY = { run: 1, submit: 100 } as const;
