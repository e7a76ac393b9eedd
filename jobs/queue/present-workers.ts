import type { Redis } from 'ioredis';
import { z } from 'zod';
import { batchId, software } from '../plan/submission.js';
import { PRESENT_KEY, presenceKey } from './names.js';

/** What a worker tells of itself, for `status`. */
export const presence = z.object({
  id: z.string().regex(/^[0-9a-f]{16}$/),
  host: z.string().max(300),
  pid: z.number().int(),
  software,
  /** Why it takes no clips for a while; null: it takes them. */
  aside: z.string().max(2_000).nullable(),
  /** Whether it takes clips at this hour. */
  isOpen: z.boolean().default(true),
  /** Batches it leaves to others, and why. */
  leaves: z.record(batchId, z.string().max(2_000)),
});
export type Presence = z.infer<typeof presence>;

/** A worker that has told nothing for so long is gone. */
const EXPIRES_SECONDS = 30;

export async function tellPresence(told: Presence, redis: Redis): Promise<void> {
  await redis.set(presenceKey(told.id), JSON.stringify(told), 'EX', EXPIRES_SECONDS);
  await redis.sadd(PRESENT_KEY, told.id);
}

export async function endPresence(id: string, redis: Redis): Promise<void> {
  await redis.del(presenceKey(id));
  await redis.srem(PRESENT_KEY, id);
}

/** The workers there are now. What is not theirs is passed over. */
export async function readPresent(redis: Redis): Promise<Presence[]> {
  const ids = await redis.smembers(PRESENT_KEY);
  if (ids.length === 0) return [];
  const told = await redis.mget(ids.map(presenceKey));
  const gone = ids.filter((_, index) => told[index] === null);
  if (gone.length > 0) await redis.srem(PRESENT_KEY, ...gone);
  return told.flatMap((text) => presenceOf(text ?? null) ?? []);
}

function presenceOf(text: string | null): Presence | null {
  try {
    return text === null ? null : (presence.safeParse(JSON.parse(text)).data ?? null);
  } catch {
    return null;
  }
}
