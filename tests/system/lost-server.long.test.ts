import { once } from 'node:events';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { connect, proveServer } from '../../jobs/queue/connection.js';
import { BATCHES_KEY } from '../../jobs/queue/names.js';
import { openWorkshop, type Workshop } from './goodgate.js';

let shop: Workshop;
let stop = async (): Promise<void> => undefined;
let url: string;

/** Asks again until it is so; the test's own limit is the end of patience. */
async function becomes(isSo: () => boolean | Promise<boolean>): Promise<void> {
  while (!(await isSo())) await new Promise((resolve) => setTimeout(resolve, 20));
}

/** A number nobody listens on at this moment. */
async function freePort(): Promise<number> {
  const probe = createServer().listen(0, '127.0.0.1');
  await once(probe, 'listening');
  const address = probe.address();
  probe.close();
  return typeof address === 'object' ? (address?.port ?? 0) : 0;
}

beforeEach(async () => {
  shop = await openWorkshop();
  const port = await freePort();
  const server = execa(
    'redis-server',
    [...['--port', `${port}`, '--bind', '127.0.0.1', '--save', '', '--dir', shop.folder]],
    { reject: false, stdin: 'ignore' },
  );
  url = `redis://127.0.0.1:${port}`;
  stop = async () => {
    server.kill('SIGKILL');
    await server;
  };
  await becomes(() =>
    proveServer({ kind: 'named', url }, 500).then(
      () => true,
      () => false,
    ),
  );
});
afterEach(async () => {
  await stop();
  await shop.close();
});

const env = () => ({ GOODGATE_STATE: join(shop.folder, 'state'), REDIS_URL: url });

it('an idle worker hears SIGTERM while its server is gone, and tells of it in a sentence', async () => {
  const worker = shop.start(['work', '--root', '.'], { env: env(), forceKillAfterDelay: false });
  let log = '';
  worker.stderr?.on('data', (chunk) => {
    log += chunk;
  });
  await becomes(() => log.includes('worker ready'));
  await stop();
  await becomes(() => log.includes('the queue does not answer'));
  worker.kill('SIGTERM');
  const ended = await worker;
  expect(ended.exitCode).toBe(130);
  expect(log).not.toMatch(/ {4}at /);
});

it('a value in the index of batches that is no batch spoils nothing for the others', async () => {
  const redis = connect({ kind: 'named', url });
  await redis.hset(BATCHES_KEY, { a: 'no JSON', b: '{"id": 5}' });
  redis.disconnect();
  const status = await shop.start(['status', '--json'], { env: env() });
  expect(status.exitCode, `${status.stderr}`).toBe(0);
  expect(JSON.parse(String(status.stdout))).toEqual([]);
});
