import { appendFile, copyFile, mkdir, readFile, rename, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { readBatchEntries, readListedClips } from '../../jobs/queue/batch-entries.js';
import { connect } from '../../jobs/queue/connection.js';
import { joinPrivateRedis, type PrivateRedis } from '../../jobs/queue/private-redis.js';
import { openWorkshop, type Workshop } from './goodgate.js';

// A loaded machine takes minutes for what an idle one does in seconds.
vi.setConfig({ testTimeout: 240_000 });

/** Two folders that are watched, a clip to be copied into them, and a server that stays. */
let shop: Workshop;
let server: PrivateRedis;
let redis: ReturnType<typeof connect>;
const path = (...names: string[]): string => join(shop.folder, ...names);

beforeEach(async () => {
  shop = await openWorkshop();
  for (const folder of ['one', 'two']) await mkdir(path(folder));
  await execa('ffmpeg', [
    ...['-v', 'error', '-f', 'lavfi', '-i', 'testsrc2=s=64x36:r=25:d=0.4', '-c:v', 'ffv1', path('clip.mov')],
  ]);
  server = await joinPrivateRedis(path('state'));
  redis = connect(server.server);
});
afterEach(async () => {
  redis.disconnect();
  await server.release();
  await shop.close();
});

const watch = () => shop.start(['watch', 'one', 'two', '--target', 'proxy-h264', '--steady', '1']);
/** What the batch folder of a watched folder holds: its run, and its clips. */
async function batchOf(folder: string): Promise<{ run: string; clips: string[] } | null> {
  const read = async (name: string) => JSON.parse(await readFile(path(`${folder}-goodgate`, name), 'utf8'));
  try {
    const [{ run }, { jobs }] = [await read('submission.json'), await read('plan.json')];
    return { run, clips: jobs.map(({ clip }: { clip: { name: string } }) => clip.name) };
  } catch {
    return null;
  }
}
const becomes = (folder: string, clips: readonly string[]): Promise<void> =>
  vi.waitFor(async () => expect((await batchOf(folder))?.clips).toEqual(clips), {
    timeout: 90_000,
    interval: 100,
  });
/** Clips of batches that are whole on the queue: what is lost on the way is told, and tried again. */
const queued = async (): Promise<string[]> => {
  const entries = (await readBatchEntries(redis)).filter(({ whole }) => whole);
  const clips = await Promise.all(entries.map(({ id }) => readListedClips(id, redis)));
  return clips.flatMap((listed) => listed.map(({ clip }) => clip)).sort();
};

it('submits each file once it has stopped growing, once, through a kill and a restart', async () => {
  await copyFile(path('clip.mov'), path('one', 'a.mov'));
  const growing = setInterval(() => void appendFile(path('one', 'growing.mov'), 'x'), 100);
  const first = watch();
  try {
    await becomes('one', ['a.mov']);
  } finally {
    clearInterval(growing);
  }
  await rm(path('one', 'growing.mov'));
  await vi.waitFor(async () => expect(await queued()).toEqual(['a.mov']), { timeout: 180_000 });
  const { run } = (await batchOf('one')) ?? {};
  first.kill('SIGKILL');
  await first;

  const second = watch();
  await copyFile(path('clip.mov'), path('two', 'b.mov'));
  await copyFile(path('clip.mov'), path('two', 'c.mov.part'));
  // Its second look at `two` comes after as many at `one`, where nothing is new.
  await becomes('two', ['b.mov']);
  expect((await batchOf('one'))?.run).toBe(run);
  await copyFile(path('clip.mov'), path('one', 'd.mov'));
  await becomes('one', ['a.mov', 'd.mov']);
  await vi.waitFor(async () => expect(await queued()).toEqual(['a.mov', 'b.mov', 'd.mov']), {
    timeout: 180_000,
  });
  // What a flushed server loses, the folders bring back.
  await redis.flushall();
  await vi.waitFor(async () => expect(await queued()).toEqual(['a.mov', 'b.mov', 'd.mov']), {
    timeout: 180_000,
  });
  second.kill('SIGTERM');
  const ended = await second;
  expect(ended.exitCode, String(ended.stderr)).toBe(130);
  expect(String(ended.stdout).match(/queued/g)).toHaveLength(2);
});

it('a target that does not exist, or none, ends it at once', async () => {
  await copyFile(path('clip.mov'), path('one', 'a.mov'));
  const none = await shop.start(['watch', 'one']);
  expect([none.exitCode, none.stderr]).toEqual([2, expect.stringContaining('--target')]);
  const wrong = await shop.start(['watch', 'one', '--target', 'proxy-h265', '--steady', '1']);
  expect([wrong.exitCode, wrong.stderr]).toEqual([2, expect.stringContaining('proxy-h264')]);
});

it('gives each folder of a list its own targets', async () => {
  const folders = [
    { folder: 'one', targets: ['proxy-h264'], priority: 'rush' },
    { folder: 'two', targets: ['intermediate-422-10'] },
  ];
  await writeFile(path('watch.yaml'), JSON.stringify({ schema: 'goodgate/watch-list@1', folders }));
  for (const folder of ['one', 'two']) await copyFile(path('clip.mov'), path(folder, 'a.mov'));
  const watcher = shop.start(['watch', '--list', 'watch.yaml', '--steady', '1']);
  try {
    for (const folder of ['one', 'two']) await becomes(folder, ['a.mov']);
  } finally {
    watcher.kill('SIGINT');
    await watcher;
  }
  const asked = folders.map(async ({ folder }) => {
    const read = async (name: string) => JSON.parse(await readFile(path(`${folder}-goodgate`, name), 'utf8'));
    const [{ jobs }, { priority }] = [await read('plan.json'), await read('submission.json')];
    return [jobs[0].outputs.map(({ target }: { target: string }) => target), priority];
  });
  expect(await Promise.all(asked)).toEqual([
    [['proxy-h264'], 'rush'],
    [['intermediate-422-10'], 'normal'],
  ]);
});

it('takes a card with a hash list once all is there, and says what it waits for', async () => {
  await mkdir(path('one', 'A001'));
  for (const name of ['a.mov', 'b.mov']) await copyFile(path('clip.mov'), path('one', 'A001', name));
  const attested = await shop.start(['attest', path('one', 'A001')]);
  expect(attested.exitCode, attested.stderr).toBe(0);
  await rename(path('one', 'A001', 'b.mov'), path('b.mov'));
  await copyFile(path('clip.mov'), path('one', 'c.mov'));
  const watcher = watch();
  try {
    await becomes('one', ['c.mov']);
    await copyFile(path('b.mov'), path('one', 'A001', 'b.mov'));
    await becomes('one', ['A001/a.mov', 'A001/b.mov', 'c.mov']);
  } finally {
    watcher.kill('SIGINT');
  }
  const { stderr } = await watcher;
  expect(String(stderr).match(/A001: waits for 1 file of its hash list: b\.mov/g)).toHaveLength(1);
});
