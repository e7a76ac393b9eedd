import type { Redis } from 'ioredis';
import { cancelledKey } from './names.js';

/** Who is told to have cancelled a job; anyone who can write to the server may have written it. */
const LONGEST_NAME = 600;

/** Written first: whoever takes one of the jobs from now on finds it cancelled. */
export async function markCancelled(
  queue: string,
  jobs: readonly string[],
  by: string,
  redis: Redis,
): Promise<void> {
  if (jobs.length > 0) await redis.hset(cancelledKey(queue), Object.fromEntries(jobs.map((id) => [id, by])));
}

/** Who cancelled each of these jobs; null for those that nobody did. */
export async function readCancelled(
  queue: string,
  jobs: readonly string[],
  redis: Redis,
): Promise<(string | null)[]> {
  if (jobs.length === 0) return [];
  const found = await redis.hmget(cancelledKey(queue), ...jobs);
  return found.map((by) => by?.slice(0, LONGEST_NAME) ?? null);
}

/** They may be done after all. */
export async function unmarkCancelled(queue: string, jobs: readonly string[], redis: Redis): Promise<void> {
  if (jobs.length > 0) await redis.hdel(cancelledKey(queue), ...jobs);
}
