import type { Redis } from 'ioredis';

/**
 * The time by the server's clock: what orders and ages batches is told by one clock, whatever those of the
 * machines say.
 */
export async function serverTime(redis: Redis): Promise<Date> {
  const [seconds, microseconds] = await redis.time();
  return new Date(Number(seconds) * 1000 + Math.floor(Number(microseconds) / 1000));
}
