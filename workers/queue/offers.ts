import type { Job } from 'bullmq';
import type { Redis } from 'ioredis';
import type { BatchEntry } from '../../jobs/queue/messages.js';
import { batchQueues, failedAtKey } from '../../jobs/queue/names.js';
import { type Presence, readPresent } from '../../jobs/queue/present-workers.js';
import { FAST_SECONDS } from './fast-failures.js';
import { whyOtherSoftware } from './reach.js';

/** So long a clip that failed here is left to workers that are busy; then it is tried here all the same. */
const LEFT_MS = 60 * 60_000;
/** How long it is known on the server which workers failed a clip. */
const KNOWN_SECONDS = 24 * 3600;

/**
 * Has a clip that failed at once here tried by another worker before a try is counted: a broken worker would
 * use up all tries of a batch of one or two clips. A worker offers a clip once, so that a clip that fails
 * everywhere comes to its end.
 */
export interface Offers {
  /** Why a clip that was taken is left to another worker; null: it is this worker's turn. */
  leave(job: Job): Promise<string | null>;
  /**
   * Why a clip goes to another worker that the world has just failed here; null: its try counts.
   *
   * @param seconds how long it took
   */
  offer(job: Job, seconds: number): Promise<string | null>;
}

export interface OffersOptions {
  readonly redis: Redis;
  /** Id of this worker among those present. */
  readonly me: string;
  readonly entry: Pick<BatchEntry, 'id' | 'software'>;
}

export function offersOf({ redis, me, entry }: OffersOptions): Offers {
  const queue = batchQueues(entry.id).clips;
  /** Jobs that were offered, and when (performance.now). */
  const offered = new Map<string, number>();

  const whoElse = async (key: string): Promise<Presence | null> => {
    const failedAt = new Set(await redis.smembers(key));
    const canTake = ({ id, aside, isOpen, leaves, software }: Presence): boolean =>
      id !== me && !failedAt.has(id) && aside === null && isOpen && leaves[entry.id] === undefined
        ? whyOtherSoftware(entry.software, software) === null
        : false;
    return (await readPresent(redis)).find(canTake) ?? null;
  };
  const told = ({ host, pid }: Presence): string =>
    `a clip failed at once here and is left to another worker (${host}, process ${pid})`;

  return {
    async leave({ id = '' }) {
      const at = offered.get(id);
      if (at === undefined || performance.now() - at > LEFT_MS) return null;
      const other = await whoElse(failedAtKey(queue, id));
      return other === null ? null : told(other);
    },
    async offer({ id = '' }, seconds) {
      if (seconds > FAST_SECONDS || offered.has(id)) return null;
      const key = failedAtKey(queue, id);
      await redis.sadd(key, me);
      await redis.expire(key, KNOWN_SECONDS);
      const other = await whoElse(key);
      if (other === null) return null;
      offered.set(id, performance.now());
      return told(other);
    },
  };
}
