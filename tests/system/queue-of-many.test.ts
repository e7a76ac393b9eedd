import { mkdir, readdir, rename, rm, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { connect } from '../../jobs/queue/connection.js';
import { BATCHES_KEY } from '../../jobs/queue/names.js';
import { joinPrivateRedis, type PrivateRedis } from '../../jobs/queue/private-redis.js';
import { copyTarget, openWorkshop, type Workshop } from './goodgate.js';

// A loaded machine takes minutes for what an idle one does in seconds.
vi.setConfig({ testTimeout: 240_000 });

/** Two volumes with a card of one clip each, and a private server that stays while the test runs. */
let shop: Workshop;
let server: PrivateRedis;
let redis: ReturnType<typeof connect>;

beforeEach(async () => {
  shop = await openWorkshop();
  await writeFile(join(shop.folder, 'copy.yaml'), copyTarget());
  for (const volume of ['one', 'two']) await mkdir(join(shop.folder, volume, 'card'), { recursive: true });
  await execa('ffmpeg', [
    ...[
      '-v',
      'error',
      '-y',
      '-f',
      'lavfi',
      '-i',
      'gradients=s=64x36:r=25:d=0.4:c0=0x406080:c1=0x809070',
      '-c:v',
      'ffv1',
    ],
    ...['one', 'two']
      .map((volume) => join(shop.folder, volume, 'card', 'clip.mov'))
      .flatMap((path, index) => (index === 0 ? [path] : ['-c:v', 'ffv1', path])),
  ]);
  server = await joinPrivateRedis(join(shop.folder, 'state'));
  redis = connect(server.server);
});
afterEach(async () => {
  redis.disconnect();
  await server.release();
  await shop.close();
});

const submit = async (volume: string): Promise<string> => {
  const args = ['submit', `${volume}/card`, '--target', 'copy.yaml', '--out', `${volume}/out`, '--json'];
  const submitted = await shop.start(args);
  expect(submitted.exitCode, submitted.stderr).toBe(0);
  return JSON.parse(String(submitted.stdout)).batch;
};
const work = (...roots: string[]) => {
  const args = ['work', '--until-empty', '--log-level', 'error'];
  return shop.start([...args, ...roots.flatMap((root) => ['--root', root])]);
};
async function status(...args: string[]) {
  const told = await shop.start(['status', ...args, '--json']);
  expect(told.exitCode, told.stderr).toBe(0);
  return JSON.parse(String(told.stdout));
}
const outputs = (volume: string): Promise<string[]> =>
  readdir(join(shop.folder, volume, 'out', 'copy')).catch(() => []);

it('workers of two volumes do each their own, leave the other untouched, and say so', async () => {
  const [one, two] = [await submit('one'), await submit('two')];
  const first = await work('one');
  expect(first.exitCode, first.stderr).toBe(3);
  expect(first.stderr).toContain(`batch ${two} (card) is not done: outside-roots`);
  expect([await outputs('one'), await outputs('two')]).toEqual([['clip.mkv'], []]);

  // A volume that is not mounted: an empty folder stands in its place.
  await rename(join(shop.folder, 'two', 'out'), join(shop.folder, 'two', 'away'));
  await mkdir(join(shop.folder, 'two', 'out'));
  const unmounted = await work('two');
  expect(unmounted.exitCode).toBe(3);
  expect(unmounted.stderr).toContain('its volume is not mounted');
  expect(await readdir(join(shop.folder, 'two', 'out'))).toEqual([]);
  await rm(join(shop.folder, 'two', 'out'), { recursive: true });
  await rename(join(shop.folder, 'two', 'away'), join(shop.folder, 'two', 'out'));

  const second = await work('two');
  expect(second.exitCode, second.stderr).toBe(0);
  expect(await outputs('two')).toEqual(['clip.mkv']);
  const states = await status();
  expect(states.map(({ batch }: { batch: string }) => batch).sort()).toEqual([one, two].sort());
  for (const { clips, report, by } of states) {
    expect(clips).toMatchObject([{ state: 'completed' }]);
    expect(report.state).toBe('written');
    expect(by.user.length * by.host.length).toBeGreaterThan(0);
  }
});

it('a server that lost everything is given the batch again, and no worker ends as if it were done', async () => {
  const batch = await submit('one');
  await redis.flushall();
  expect(await status(batch)).toMatchObject([
    { clips: [{ state: 'waiting' }], report: { state: 'waiting', path: null } },
  ]);
  const worked = await work('one');
  expect(worked.exitCode, worked.stderr).toBe(0);
  expect(await outputs('one')).toEqual(['clip.mkv']);

  // Over, and lost again: the folder tells it, by whatever name, and a report that is gone is not named.
  await redis.flushall();
  for (const name of [batch, 'one/out']) {
    const [state] = await status(name);
    expect(state).toMatchObject({ batch, clips: [{ state: 'completed' }], report: { state: 'written' } });
    expect(state.report.path).toBe(join(shop.folder, 'one', 'out', 'report.html'));
  }
  expect((await work('one')).exitCode).toBe(0);
  await rm(join(shop.folder, 'one', 'out', 'report.html'));
  expect((await status(batch))[0].report.path).toBeNull();
});

it('a batch of another version of the program is left alone, with a sentence', async () => {
  const batch = await submit('one');
  const entry = JSON.parse((await redis.hget(BATCHES_KEY, batch)) ?? '');
  entry.software.code = 'of-another';
  await redis.hset(BATCHES_KEY, batch, JSON.stringify(entry));
  const worked = await work('one');
  expect(worked.exitCode).toBe(3);
  expect(worked.stderr).toContain('(code of-another)');
  expect(await outputs('one')).toEqual([]);
});

it('a report that cannot be written is told by worker and status', async () => {
  const batch = await submit('one');
  const plan = join(shop.folder, 'one', 'out', 'report.html');
  await mkdir(plan);
  await writeFile(join(plan, 'in-the-way'), '');
  await redis.hset(BATCHES_KEY, 'none', 'no batch');
  const key = (await redis.keys('goodgate:reports-*:*-report'))[0] ?? '';
  // One try: the pauses between four are not what is looked at.
  const opts = JSON.parse((await redis.hget(key, 'opts')) ?? '{}');
  await redis.hset(key, 'opts', JSON.stringify({ ...opts, attempts: 1 }));
  const worked = await work('one');
  expect(worked.exitCode).toBe(3);
  expect(worked.stderr).toContain('its report could not be written');
  const [state] = await status(batch);
  expect(state).toMatchObject({ clips: [{ state: 'completed' }], report: { state: 'failed', path: null } });
  expect(state.report.reason).toContain('report.html');
});

it('a run is found again after its private server ended with it', async () => {
  const ran = await shop.start(['run', 'one/card', '--target', 'copy.yaml', '--out', 'one/out', '--json']);
  expect(ran.exitCode, ran.stderr).toBe(0);
  const { id } = JSON.parse(String(ran.stdout));
  for (const name of [id.slice(0, 6), 'one/out']) {
    expect(await status(name)).toMatchObject([{ batch: id, report: { state: 'written' } }]);
  }
});
