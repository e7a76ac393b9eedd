import { mkdir, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { BATCHES_KEY } from '../../jobs/queue/names.js';
import { openTwoVolumes } from './two-volumes.js';

// A loaded machine takes minutes for what an idle one does in seconds.
vi.setConfig({ testTimeout: 240_000 });

let volumes: Awaited<ReturnType<typeof openTwoVolumes>>;
beforeEach(async () => {
  volumes = await openTwoVolumes();
});
afterEach(() => volumes.close());

it('a server that lost everything is given the batch again, and no worker ends as if it were done', async () => {
  const batch = await volumes.submit('one');
  await volumes.redis.flushall();
  expect(await volumes.status(batch)).toMatchObject([
    { clips: [{ state: 'waiting' }], report: { state: 'waiting', path: null } },
  ]);
  const worked = await volumes.work('one');
  expect(worked.exitCode, worked.stderr).toBe(0);
  expect(await volumes.outputs('one')).toEqual(['clip.mkv']);

  // Over, and lost again: the folder tells it, by whatever name, and a report that is gone is not named.
  await volumes.redis.flushall();
  for (const name of [batch, 'one/out']) {
    const [state] = await volumes.status(name);
    expect(state).toMatchObject({ batch, clips: [{ state: 'completed' }], report: { state: 'written' } });
    expect(state.report.path).toBe(join(volumes.shop.folder, 'one', 'out', 'report.html'));
  }
  expect((await volumes.work('one')).exitCode).toBe(0);
  await rm(join(volumes.shop.folder, 'one', 'out', 'report.html'));
  expect((await volumes.status(batch))[0].report.path).toBeNull();
});

it('a batch of another version of the program is left alone, with a sentence', async () => {
  const batch = await volumes.submit('one');
  const entry = JSON.parse((await volumes.redis.hget(BATCHES_KEY, batch)) ?? '');
  entry.software.code = 'of-another';
  await volumes.redis.hset(BATCHES_KEY, batch, JSON.stringify(entry));
  const worked = await volumes.work('one');
  expect(worked.exitCode).toBe(3);
  expect(worked.stderr).toContain('(code of-another)');
  expect(await volumes.outputs('one')).toEqual([]);
});

it('a report that cannot be written is told by worker and status', async () => {
  const batch = await volumes.submit('one');
  const plan = join(volumes.shop.folder, 'one', 'out', 'report.html');
  await mkdir(plan);
  await writeFile(join(plan, 'in-the-way'), '');
  await volumes.redis.hset(BATCHES_KEY, 'none', 'no batch');
  const key = (await volumes.redis.keys('goodgate:reports-*:*-report'))[0] ?? '';
  // One try: the pauses between four are not what is looked at.
  const opts = JSON.parse((await volumes.redis.hget(key, 'opts')) ?? '{}');
  await volumes.redis.hset(key, 'opts', JSON.stringify({ ...opts, attempts: 1 }));
  const worked = await volumes.work('one');
  expect(worked.exitCode).toBe(3);
  expect(worked.stderr).toContain('its report could not be written');
  const [state] = await volumes.status(batch);
  expect(state).toMatchObject({ clips: [{ state: 'completed' }], report: { state: 'failed', path: null } });
  expect(state.report.reason).toContain('report.html');
});

it('a run is found again after its private server ended with it', async () => {
  const ran = await volumes.shop.start([
    'run',
    'one/card',
    '--target',
    'copy.yaml',
    '--out',
    'one/out',
    '--json',
  ]);
  expect(ran.exitCode, ran.stderr).toBe(0);
  const { id } = JSON.parse(String(ran.stdout));
  for (const name of [id.slice(0, 6), 'one/out']) {
    expect(await volumes.status(name)).toMatchObject([{ batch: id, report: { state: 'written' } }]);
  }
});
