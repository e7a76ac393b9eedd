import type { Redis } from 'ioredis';
import { type BatchEntry, batchEntry, type ListedClip, listedClip } from './messages.js';
import { BATCHES_KEY, listedClipsKey, OPEN_KEY } from './names.js';

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

/** Of a batch whose submission ended between the first of its clips and the last, or is still under way. */
export const NOT_WHOLE =
  'not all of its clips are on the queue: its submission was stopped on the way, or is still under way; the same goodgate submit again queues all that is missing';

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

/** Whether a later submission of the batch replaced the one that a job belongs to. */
export async function isSuperseded(
  { batch, run }: { readonly batch: string; readonly run: string },
  redis: Redis,
): Promise<boolean> {
  const entry = await readBatchEntry(batch, redis);
  return entry !== null && entry.run !== run;
}

/** Batches whose report is not written yet, as far as the server knows: id -> run. */
export async function readOpenRuns(redis: Redis): Promise<Map<string, string>> {
  return new Map(Object.entries(await redis.hgetall(OPEN_KEY)));
}

/** Written first: a worker may take the first job before the last one is queued, and looks here. */
export async function writeBatchEntry(entry: BatchEntry, redis: Redis): Promise<void> {
  await redis.hset(BATCHES_KEY, entry.id, JSON.stringify(entry));
  await redis.hset(OPEN_KEY, entry.id, entry.run);
}

/** KEYS[1] a hash, ARGV[1] a field, ARGV[2] the value it must have, ARGV[3] the one it gets. */
const REPLACE_IF =
  "if redis.call('HGET', KEYS[1], ARGV[1]) ~= ARGV[2] then return 0 end redis.call('HSET', KEYS[1], ARGV[1], ARGV[3]) return 1";

/**
 * Replaces the entry of a batch by another of it.
 *
 * @returns false where it is no longer there as it was: the server lost it, or somebody else wrote it
 */
export async function replaceBatchEntry(
  before: BatchEntry,
  after: BatchEntry,
  redis: Redis,
): Promise<boolean> {
  const texts = [before, after].map((entry) => JSON.stringify(entry));
  return (await redis.eval(REPLACE_IF, 1, BATCHES_KEY, before.id, ...texts)) === 1;
}

/** KEYS[1] a hash, ARGV[1] a field, ARGV[2] the value it must have to be removed. */
const DELETE_IF =
  "if redis.call('HGET', KEYS[1], ARGV[1]) == ARGV[2] then redis.call('HDEL', KEYS[1], ARGV[1]) end";

/** A run of a batch has ended; one that was submitted since stays open. */
export async function closeRun({ id, run }: Pick<BatchEntry, 'id' | 'run'>, redis: Redis): Promise<void> {
  await redis.eval(DELETE_IF, 1, OPEN_KEY, id, run);
}

/** So many go to the server at once. */
const LISTED_AT_ONCE = 1_000;

/** Replaces the list of a batch's clips. */
export async function writeListedClips(
  batch: string,
  clips: readonly ListedClip[],
  redis: Redis,
): Promise<void> {
  const key = listedClipsKey(batch);
  await redis.del(key);
  for (let from = 0; from < clips.length; from += LISTED_AT_ONCE) {
    const some = clips.slice(from, from + LISTED_AT_ONCE);
    await redis.rpush(key, ...some.map((clip) => JSON.stringify(clip)));
  }
}

/** The clips of a batch in the order of its plan; what is no entry of such a list is left out. */
export async function readListedClips(batch: string, redis: Redis): Promise<ListedClip[]> {
  const texts = await redis.lrange(listedClipsKey(batch), 0, -1);
  return texts.flatMap((text) => {
    try {
      return listedClip.safeParse(JSON.parse(text)).data ?? [];
    } catch {
      return [];
    }
  });
}
