import type { Redis } from 'ioredis';
import { type BatchEntry, batchEntry } from './messages.js';
import { BATCHES_KEY } from './names.js';

/**
 * The entry of one batch; null for anything else, since anyone who can write to the server may have put it
 * there.
 */
function entryOf(text: string): BatchEntry | null {
  try {
    return batchEntry.safeParse(JSON.parse(text)).data ?? null;
  } catch {
    return null;
  }
}

/** One batch by its id; null when it is not on the server, or its entry is invalid. */
export async function readBatchEntry(id: string, redis: Redis): Promise<BatchEntry | null> {
  const text = await redis.hget(BATCHES_KEY, id);
  return text === null ? null : entryOf(text);
}

/**
 * Every batch on the server, the latest first. Invalid entries are skipped.
 */
export async function readBatchEntries(redis: Redis): Promise<BatchEntry[]> {
  const all = await redis.hvals(BATCHES_KEY);
  return all.flatMap((text) => entryOf(text) ?? []).sort((a, b) => (a.submittedAt < b.submittedAt ? 1 : -1));
}
