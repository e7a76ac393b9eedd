import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { execa } from 'execa';
import { GenericContainer, Wait } from 'testcontainers';
import type { RedisServer } from '../../jobs/queue/connection.js';
import { joinPrivateRedis } from '../../jobs/queue/private-redis.js';

export interface TestServer {
  readonly server: RedisServer;
  stop(): Promise<void>;
}

export interface ServerKind {
  readonly kind: string;
  start(): Promise<TestServer>;
}

async function startPrivate(): Promise<TestServer> {
  const state = await mkdtemp(join(tmpdir(), 'goodgate-test-'));
  const own = await joinPrivateRedis(state);
  return {
    server: own.server,
    async stop() {
      await own.release();
      await rm(state, { recursive: true, force: true });
    },
  };
}

async function startContainer(image: string): Promise<TestServer> {
  const container = await new GenericContainer(image)
    .withExposedPorts(6379)
    .withWaitStrategy(Wait.forLogMessage(/Ready to accept connections/))
    .start();
  return {
    server: { kind: 'named', url: `redis://${container.getHost()}:${container.getMappedPort(6379)}` },
    stop: async () => {
      await container.stop();
    },
  };
}

async function engineAnswers(): Promise<boolean> {
  const { exitCode } = await execa('docker', ['info'], { reject: false, timeout: 10_000 });
  return exitCode === 0;
}

/** The servers the queue is tested on: the private one everywhere, containers where an engine answers. */
export async function serverKinds(): Promise<ServerKind[]> {
  const kinds: ServerKind[] = [{ kind: 'private redis-server', start: startPrivate }];
  if (await engineAnswers()) {
    for (const image of ['redis:7-alpine', 'valkey/valkey:8-alpine']) {
      kinds.push({ kind: image, start: () => startContainer(image) });
    }
  }
  return kinds;
}
