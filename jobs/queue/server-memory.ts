import { randomBytes } from 'node:crypto';
import type { Redis } from 'ioredis';
import { MEMORY_KEY } from './names.js';

/**
 * What changes whenever a server may have lost what it was given: a mark that lies with it, and the run of
 * its process. Two small commands, however much lies there.
 */
export async function serverMemory(redis: Redis): Promise<string> {
  await redis.set(MEMORY_KEY, randomBytes(8).toString('hex'), 'NX');
  const [mark, info] = await Promise.all([redis.get(MEMORY_KEY), redis.info('server')]);
  const run = /^run_id:(\w+)/m.exec(info)?.[1] ?? '';
  return `${mark} ${run}`;
}
