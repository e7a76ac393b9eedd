import { copyFile, mkdir, readdir, readFile, rm, stat, utimes, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { connect } from '../../jobs/queue/connection.js';
import { joinPrivateRedis, type PrivateRedis } from '../../jobs/queue/private-redis.js';
import { copyTarget, openWorkshop, type Workshop } from './goodgate.js';

// A loaded machine takes minutes for what an idle one does in seconds.
vi.setConfig({ testTimeout: 240_000 });

/** A card of three clips, and an ffmpeg that waits with the first one while the file `hold` is there. */
let shop: Workshop;
let server: PrivateRedis;
let redis: ReturnType<typeof connect>;
const path = (...names: string[]): string => join(shop.folder, ...names);

beforeEach(async () => {
  shop = await openWorkshop();
  await mkdir(path('card'));
  await execa('ffmpeg', [
    ...[
      '-v',
      'error',
      '-f',
      'lavfi',
      '-i',
      'gradients=s=64x36:r=25:d=0.4:c0=0x406080:c1=0x809070',
      '-c:v',
      'ffv1',
    ],
    path('card', 'a-held.mov'),
  ]);
  await writeFile(path('copy.yaml'), copyTarget());
  for (const name of ['b.mov', 'c.mov']) await copyFile(path('card', 'a-held.mov'), path('card', name));
  const wait = `case "$*" in *a-held.mov*) while [ -e '${path('hold')}' ]; do sleep 0.05; done;; esac`;
  await writeFile(path('ffmpeg'), ['#!/bin/sh', wait, 'exec ffmpeg "$@"'].join('\n'), { mode: 0o755 });
  server = await joinPrivateRedis(path('state'));
  redis = connect(server.server);
});
afterEach(async () => {
  await rm(path('hold'), { force: true });
  redis.disconnect();
  await server.release();
  await shop.close();
});

const start = (...args: string[]) =>
  shop.start(args, {
    env: { GOODGATE_STATE: path('state'), REDIS_URL: '', GOODGATE_FFMPEG: path('ffmpeg') },
  });
async function answer(...args: string[]) {
  const told = await start(...args, '--json');
  expect(told.exitCode, told.stderr as string).toBe(0);
  return JSON.parse(String(told.stdout));
}
const submit = async (card = 'card', out = 'out', ...more: string[]): Promise<string> =>
  (await answer('submit', card, '--target', 'copy.yaml', '--out', out, ...more)).batch;
const work = (...args: string[]) =>
  start('work', '--until-empty', '--root', '.', '--log-level', 'error', ...args);
async function stands(): Promise<string[]> {
  const [{ clips }] = await answer('status', 'out');
  return clips.map(({ state }: { state: string }) => state);
}
const isHeld = (batch: string): Promise<void> =>
  vi.waitFor(async () => expect(await redis.llen(`goodgate:clips-${batch}:active`)).toBeGreaterThan(0), {
    timeout: 180_000,
    interval: 50,
  });
/** The server is asked: `goodgate status` takes longer than what is waited for. */
const ended = (batch: string, how: 'completed' | 'failed', clips: number): Promise<void> =>
  vi.waitFor(async () => expect(await redis.zcard(`goodgate:clips-${batch}:${how}`)).toBe(clips), {
    timeout: 180_000,
    interval: 50,
  });
/** Outputs, and what is half made. */
async function made(): Promise<string[]> {
  const all = await readdir(path('out'), { recursive: true });
  return all.filter((name) => /^copy.*\.|\.part\b/.test(name)).sort();
}

it('cancelled clips stop in hand, wait no more, leave nothing half made, and are told; one is done after all', async () => {
  const batch = await submit();
  await writeFile(path('hold'), '');
  const worker = work('--concurrency', '1');
  await isHeld(batch);
  expect(await answer('cancel', 'out', 'c.mov')).toEqual({ batch, cancelled: ['c.mov'], stopping: [] });
  expect(await answer('cancel', batch.slice(0, 8), 'a-held.mov')).toMatchObject({
    cancelled: ['a-held.mov'],
  });
  expect((await worker).exitCode).toBe(0);
  expect(await stands()).toEqual(['cancelled', 'completed', 'cancelled']);
  expect(await made()).toEqual(['copy/b.mkv']);
  expect(await readFile(path('out', 'report.html'), 'utf8')).toMatch(/cancelled by .+ on /i);

  const [told] = await answer('status', 'out');
  expect(told.verdicts.pass + told.verdicts.warn + told.verdicts.fail).toBe(1);

  expect((await start('cancel', 'out')).exitCode).toBe(2);
  const none = await start('retry', 'out');
  expect([none.exitCode, none.stderr]).toEqual([2, expect.stringContaining('no clip of it has failed')]);
  await rm(path('hold'));
  // A server that was flushed brings back what was asked for, and nothing that was cancelled.
  expect(await answer('retry', 'out', 'c.mov')).toEqual({ batch, queued: ['c.mov'] });
  await redis.flushall();
  expect((await work()).exitCode).toBe(0);
  expect(await stands()).toEqual(['cancelled', 'completed', 'completed']);
  expect(await made()).toEqual(['copy/b.mkv', 'copy/c.mkv']);
});

it('a clip that failed is retried alone, and the report that is still to come waits for it', async () => {
  const batch = await submit();
  const { mtime } = await stat(path('card', 'b.mov'));
  await utimes(path('card', 'b.mov'), mtime, new Date(mtime.getTime() + 5000));
  await writeFile(path('hold'), '');
  const worker = work('--concurrency', '2');
  await isHeld(batch);
  await ended(batch, 'failed', 1);
  await ended(batch, 'completed', 1);
  expect(await stands()).toEqual(['active', 'failed', 'completed']);
  await utimes(path('card', 'b.mov'), mtime, mtime);
  expect(await answer('retry', 'out')).toEqual({ batch, queued: ['b.mov'] });
  await ended(batch, 'completed', 2);
  expect(await stands()).toEqual(['active', 'completed', 'completed']);
  await rm(path('hold'));
  expect((await worker).exitCode).toBe(0);
  expect(await stands()).toEqual(['completed', 'completed', 'completed']);
  const { totals } = JSON.parse(await readFile(path('out', 'batch.json'), 'utf8'));
  expect(totals).toMatchObject({ results: 3, notDone: 0 });
});

it('a paused batch is given out no more, on a server that lost it too, until it is resumed', async () => {
  await rm(path('card', 'c.mov'));
  const batch = await submit();
  await writeFile(path('hold'), '');
  const worker = work('--concurrency', '1');
  await isHeld(batch);
  expect(await answer('pause', 'out')).toEqual({ batch, paused: true, changed: true });
  await rm(path('hold'));
  const left = await worker;
  expect([left.exitCode, left.stderr]).toEqual([3, expect.stringContaining('it is paused')]);
  expect(await stands()).toEqual(['completed', 'waiting']);
  await redis.flushall();
  const again = await work();
  expect([again.exitCode, again.stderr]).toEqual([3, expect.stringContaining('it is paused')]);
  const told = await start('status', 'out');
  expect(told.stdout).toMatch(/paused by .+ on .+: goodgate resume lets it go on/);
  expect(await answer('resume', 'out')).toEqual({ batch, paused: false, changed: true });
  expect((await work()).exitCode).toBe(0);
  expect(await stands()).toEqual(['completed', 'completed']);
});

/** Clips of two batches in the order in which a worker took them. */
async function order(...batches: string[]): Promise<string[]> {
  const all = await Promise.all(
    batches.map(async (batch) => {
      const ids = await redis.zrange(`goodgate:clips-${batch}:completed`, '0', '-1');
      return Promise.all(
        ids.map(async (id) => {
          const [at, data] = await redis.hmget(`goodgate:clips-${batch}:${id}`, 'processedOn', 'data');
          return { at: Number(at), clip: JSON.parse(data ?? '').job.clip.name };
        }),
      );
    }),
  );
  return all
    .flat()
    .sort((a, b) => a.at - b.at)
    .map(({ clip }) => clip);
}

it('a rush batch is next on a worker that is busy with another', async () => {
  await rm(path('card', 'c.mov'));
  await mkdir(path('rush'));
  for (const name of ['r1.mov', 'r2.mov']) await copyFile(path('card', 'b.mov'), path('rush', name));
  const batch = await submit();
  await writeFile(path('hold'), '');
  const worker = work('--concurrency', '1');
  await isHeld(batch);
  const rush = await submit('rush', 'rush-out', '--priority', 'rush');
  expect(String((await start('status')).stdout)).toContain('(rush)');
  // The worker looks for new batches every second.
  await vi.waitFor(async () => expect(await redis.exists(`goodgate:clips-${rush}:stalled-check`)).toBe(1), {
    timeout: 180_000,
  });
  await rm(path('hold'));
  expect((await worker).exitCode).toBe(0);
  expect(await order(batch, rush)).toEqual(['a-held.mov', 'r1.mov', 'r2.mov', 'b.mov']);
});
