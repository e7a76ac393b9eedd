import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import type { Redis } from 'ioredis';
import type { Plan } from '../../jobs/plan/plan.js';
import type { Submission } from '../../jobs/plan/submission.js';
import { isSuperseded } from '../../jobs/queue/batch-entries.js';
import { connect } from '../../jobs/queue/connection.js';
import { clipJobData } from '../../jobs/queue/messages.js';
import { batchQueues } from '../../jobs/queue/names.js';
import { builtInTargets } from '../../jobs/targets/load-target.js';
import { planBatch } from '../../planner/plan-batch.js';
import { queueBatch } from '../../planner/queue-batch.js';
import { takeJobs } from '../../workers/queue/take-jobs.js';
import { CAPABILITIES } from '../planner/make-facts.js';
import { largeManifest } from './large-card.js';
import { measuredCommand } from './measured-command.js';

/** Jobs that are taken with nothing to do: enough for a mean. */
const TAKEN = 500;
const AT_ONCE = 2;

/**
 * What so many queued clips cost a server and those who use it: a private redis-server on loopback, jobs that
 * are as large as real ones, and a stand-in that does nothing with them.
 */
export async function* queueScaleLines(clips: number): AsyncGenerator<string> {
  const server = await startServer();
  try {
    const { redis, url } = server;
    const plan = await planOf(clips, join(server.folder, 'out'));
    const empty = await memoryOf(redis);
    const queued = await took(() => queueBatch(plan, submissionOf(plan), redis));
    const held = (await memoryOf(redis)) - empty;
    yield `${clips} queued clips, two outputs each`;
    yield `  queued in ${told(queued)}`;
    yield `  memory of the server ${(held / 1e6).toFixed(0)} MB, ${(held / clips / 1e3).toFixed(1)} kB a clip`;
    const status = measuredCommand(['status', plan.id.slice(0, 8), '--json'], {
      ...{ REDIS_URL: url, GOODGATE_STATE: join(server.folder, 'state') },
    });
    yield `  goodgate status of it: ${told({ processor: status.processorSeconds, wall: status.wallSeconds })}, ${status.peakMegabytes.toFixed(0)} MB`;
    const before = await callsOf(redis);
    const done = await took(() => takeSome(plan.id, redis));
    const calls = (await callsOf(redis)) - before;
    yield `  a job taken, read, checked and ended: ${((done.processor * 1000) / TAKEN).toFixed(1)} ms of processor, ${((done.wall * 1000) / TAKEN).toFixed(1)} ms of time with ${AT_ONCE} at once, ${(calls / TAKEN).toFixed(0)} commands`;
  } finally {
    server.stop();
  }
}

async function planOf(clips: number, out: string): Promise<Plan> {
  const targets = new Map((await builtInTargets()).map((target) => [target.name, target]));
  return planBatch({
    ...{ manifest: largeManifest('/cards', clips), root: '/cards', out, targets, chosen: [] },
    ...{ capabilities: CAPABILITIES, version: '1', looks: new Map(), workers: 2 },
  });
}

function submissionOf({ id }: Plan): Submission {
  return {
    ...{ schema: 'goodgate/submission@1', batch: id, run: 'r1', submittedAt: new Date().toISOString() },
    ...{ by: { user: 'bench', host: 'here' }, shared: true, priority: 'normal', paused: null },
    software: { goodgate: '1', code: 'c', ffmpeg: '5.1' },
  };
}

/** Each job is parsed and asked about as a worker does, and nothing is made of it. */
async function takeSome(batch: string, redis: Redis): Promise<void> {
  const stop = new AbortController();
  let begun = 0;
  let inHand = 0;
  let ended = 0;
  const taker = takeJobs({
    ...{ redis, stop: stop.signal, log: { warn: () => undefined } },
    sources: () => [
      {
        queue: batchQueues(batch).clips,
        hasRoom: () => begun < TAKEN && inHand < AT_ONCE,
        async handle(job) {
          begun += 1;
          inHand += 1;
          const data = clipJobData.parse(job.data);
          await isSuperseded(data, redis);
          inHand -= 1;
          return { is: 'done', value: { state: 'done', seconds: 1 } };
        },
        onEnd: () => {
          ended += 1;
        },
      },
    ],
  });
  while (ended < TAKEN) await sleep(5);
  await taker.close();
}

interface Took {
  readonly processor: number;
  readonly wall: number;
}

async function took(work: () => Promise<unknown>): Promise<Took> {
  const [from, cpu] = [performance.now(), process.cpuUsage()];
  await work();
  const { user, system } = process.cpuUsage(cpu);
  return { processor: (user + system) / 1e6, wall: (performance.now() - from) / 1000 };
}

function told({ processor, wall }: Took): string {
  return `${wall.toFixed(1)} s, ${processor.toFixed(1)} s of processor`;
}

async function infoOf(redis: Redis, section: string, name: string): Promise<number> {
  const info = await redis.info(section);
  return Number(new RegExp(`^${name}:(\\d+)`, 'm').exec(info)?.[1]);
}

const memoryOf = (redis: Redis): Promise<number> => infoOf(redis, 'memory', 'used_memory');
const callsOf = (redis: Redis): Promise<number> => infoOf(redis, 'stats', 'total_commands_processed');

async function startServer(): Promise<{ redis: Redis; url: string; folder: string; stop(): void }> {
  const folder = mkdtempSync(join(tmpdir(), 'goodgate-queue-'));
  const port = await freePort();
  const server = spawn('redis-server', [
    ...['--bind', '127.0.0.1', '--port', String(port), '--dir', folder],
    ...['--save', '', '--appendonly', 'yes', '--maxmemory-policy', 'noeviction', '--loglevel', 'warning'],
  ]);
  const url = `redis://127.0.0.1:${port}`;
  const redis = await connect({ kind: 'named', url });
  const stop = (): void => {
    redis.disconnect();
    server.kill();
    rmSync(folder, { recursive: true, force: true });
  };
  return { redis, url, folder, stop };
}

function freePort(): Promise<number> {
  return new Promise((resolve, reject) => {
    const server = createServer().once('error', reject);
    server.listen(0, '127.0.0.1', () => {
      const address = server.address();
      const port = typeof address === 'object' && address !== null ? address.port : 0;
      server.close(() => resolve(port));
    });
  });
}
