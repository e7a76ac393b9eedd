import { randomBytes } from 'node:crypto';
import type { Redis } from 'ioredis';
import { idleKey, workersKey } from '../../jobs/queue/names.js';
import type { Places } from './places.js';

/** How long a worker's published number holds, and how often it is published. */
const EXPIRES_SECONDS = 10;
const PUBLISH_EVERY_MS = 3_000;
/** Without an answer after so long nobody is idle: work does not wait for Redis to come back. */
const ANSWER_MS = 2_000;

/** Publishes to the other workers of a parts queue how many places are idle here, and counts theirs. */
export interface IdlePlaces {
  /** Places idle on all other workers. */
  elsewhere(): Promise<number>;
  close(): void;
}

export function publishIdlePlaces(redis: Redis, queue: string, places: Places): IdlePlaces {
  const me = randomBytes(8).toString('hex');
  const workers = workersKey(queue);
  const publish = async (): Promise<void> => {
    await redis.set(idleKey(queue, me), String(places.idle), 'EX', EXPIRES_SECONDS);
    await redis.sadd(workers, me);
  };
  const publishing = setInterval(() => void publish().catch(() => undefined), PUBLISH_EVERY_MS);
  void publish().catch(() => undefined);

  const count = async (): Promise<number> => {
    const others = (await redis.smembers(workers)).filter((worker) => worker !== me);
    if (others.length === 0) return 0;
    const published = await redis.mget(others.map((worker) => idleKey(queue, worker)));
    const gone = others.filter((_, index) => published[index] === null);
    if (gone.length > 0) await redis.srem(workers, ...gone);
    return published.reduce((sum, text) => sum + idleOf(text ?? null), 0);
  };

  return {
    async elsewhere() {
      let timer: NodeJS.Timeout | undefined;
      const late = new Promise<number>((resolve) => {
        timer = setTimeout(() => resolve(0), ANSWER_MS);
      });
      try {
        return await Promise.race([count().catch(() => 0), late]);
      } finally {
        clearTimeout(timer);
      }
    },
    close() {
      clearInterval(publishing);
      redis.del(idleKey(queue, me)).catch(() => undefined);
      redis.srem(workers, me).catch(() => undefined);
    },
  };
}

/** Redis is not trusted. */
function idleOf(text: string | null): number {
  const places = Number(text ?? 0);
  return Number.isInteger(places) && places > 0 && places <= 1024 ? places : 0;
}
