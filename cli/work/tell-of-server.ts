import type { Redis } from 'ioredis';
import type { Log } from '../../workers/clip-context.js';

/**
 * Says once that the server is gone, and once that it is back.
 *
 * @returns a function to call before leaving, after which nothing is said
 */
export function tellOfServer(redis: Redis, log: Pick<Log, 'warn' | 'info'>): () => void {
  let isGone = false;
  let isLeaving = false;
  redis.on('close', () => {
    if (!isGone && !isLeaving)
      log.warn({}, 'the queue does not answer; work in hand goes on, and is told when it is back');
    isGone = true;
  });
  redis.on('ready', () => {
    if (isGone) log.info({}, 'the queue is back');
    isGone = false;
  });
  return () => {
    isLeaving = true;
  };
}
