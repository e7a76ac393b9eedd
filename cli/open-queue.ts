import type { Redis } from 'ioredis';
import { connect, describeServer, proveServer, type RedisServer } from '../jobs/queue/connection.js';
import { joinPrivateRedis } from '../jobs/queue/private-redis.js';
import { guardRedis, releaseRedis } from '../workers/children/guard.js';
import type { Environment } from './environment.js';
import { step } from './print.js';

export interface OpenQueue {
  readonly server: RedisServer;
  readonly redis: Redis;
  /** Closes the connection and, for a private server nobody else uses, the server. */
  close(): Promise<void>;
}

/**
 * Opens the named Redis, or joins (and if need be starts) the private one.
 *
 * @throws GoodgateError `bad-option`, `redis-gone`, `old-redis`, `missing-tool`, `cannot-write`.
 */
export async function openQueue(
  environment: Environment,
  redisOption: string | undefined,
): Promise<OpenQueue> {
  const url = redisOption ?? environment.redisUrl;
  if (url !== null) {
    const server: RedisServer = { kind: 'named', url };
    await proveServer(server);
    step(`queue: ${describeServer(server)}`);
    const redis = connect(server);
    return {
      server,
      redis,
      async close() {
        redis.disconnect();
      },
    };
  }
  guardRedis(environment.stateFolder);
  const own = await joinPrivateRedis(environment.stateFolder);
  const redis = connect(own.server);
  step(`queue: ${describeServer(own.server)}`);
  return {
    server: own.server,
    redis,
    async close() {
      redis.disconnect();
      await own.release();
      releaseRedis(environment.stateFolder);
    },
  };
}
