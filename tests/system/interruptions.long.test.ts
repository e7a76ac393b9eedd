import { copyFile, mkdir, mkdtemp, readdir, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';
import { measurement } from '../../jobs/measurement/measurement.js';
import { batch as batchSchema } from '../../jobs/plan/batch.js';
import { copyTarget, openWorkshop, type Workshop } from './goodgate.js';

// A loaded machine takes minutes for what an idle one does in seconds.
vi.setConfig({ testTimeout: 240_000 });

/**
 * More clips than are worked on at once: whenever those worked on first have files, the last has not begun.
 * All that is waited for is files, so that the clips may be as small as they like.
 */
const CLIPS = ['one', 'two', 'three'];
const FRAMES = 10;
const TARGETS = ['first', 'second'];

let shop: Workshop;
let folder: string;
let clips: readonly string[];

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-card-'));
  await execa('ffmpeg', [
    ...['-v', 'error', '-f', 'lavfi', '-i', `testsrc2=s=64x36:r=25:d=${FRAMES / 25}`],
    ...['-f', 'lavfi', '-i', `sine=r=48000:d=${FRAMES / 25}`, '-pix_fmt', 'yuv420p'],
    ...['-c:v', 'ffv1', '-c:a', 'pcm_s24le', '-timecode', '01:00:00:00', join(folder, 'clip.mov')],
  ]);
});
afterAll(() => rm(folder, { recursive: true, force: true }));

beforeEach(async () => {
  shop = await openWorkshop();
  for (const name of TARGETS) await writeFile(join(shop.folder, `${name}.yaml`), copyTarget(name));
});

/** A card of so many clips. */
async function insert(count: number): Promise<void> {
  clips = CLIPS.slice(0, count);
  await mkdir(join(shop.folder, 'card'));
  for (const name of clips)
    await copyFile(join(folder, 'clip.mov'), join(shop.folder, 'card', `${name}.mov`));
}
afterEach(async () => {
  // However a test ended, no server stays behind.
  await waitFor(async () => !(await execa('ps', ['-eo', 'args'])).stdout.includes(serverFolder()));
  await shop.close();
});

const serverFolder = (): string => join(shop.folder, 'state', 'redis');

const WANTED = ['card', ...TARGETS.flatMap((name) => ['--target', `${name}.yaml`]), '--out', 'out'];
/** One clip less at once than there are. */
const runAll = () => ['run', ...WANTED, '--jobs', String(clips.length - 1)];
const SUBMIT = ['submit', ...WANTED];
const WORK = ['work', '--root', '.', '--until-empty', '--concurrency', '1'];

async function files(target: string): Promise<string[]> {
  const all = await readdir(join(shop.folder, 'out', target), { withFileTypes: true }).catch(() => []);
  return all.filter((entry) => entry.isFile()).map((entry) => entry.name);
}

/** Every media file in the batch folder, half-made ones too. */
async function mediaFiles(): Promise<string[]> {
  return (await Promise.all(TARGETS.map(files))).flat();
}

async function waitFor(check: () => Promise<boolean>): Promise<void> {
  const end = Date.now() + 180_000;
  while (!(await check())) {
    if (Date.now() > end) throw new Error('what was waited for did not come');
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
}

/**
 * The state a batch must be in when all is done: every output whole, by decoding it with nothing of goodgate.
 */
async function expectWhole(): Promise<void> {
  const names = clips.map((name) => `${name}.mkv`).sort();
  for (const target of TARGETS) expect((await files(target)).sort()).toEqual(names);
  const paths = TARGETS.flatMap((target) => names.map((name) => join(shop.folder, 'out', target, name)));
  const inputs = paths.flatMap((path) => ['-i', path]);
  // A line for each frame, which begins with the number of its stream: one for each file.
  const maps = paths.flatMap((_, index) => ['-map', `${index}:v`]);
  const decoded = await execa('ffmpeg', ['-v', 'error', ...inputs, ...maps, '-f', 'framecrc', '-']);
  expect(decoded.stderr).toBe('');
  for (const [index, path] of paths.entries())
    expect(decoded.stdout.match(new RegExp(`^${index}, `, 'gm')), path).toHaveLength(FRAMES);
  const batch = batchSchema.parse(JSON.parse(await readFile(join(shop.folder, 'out', 'batch.json'), 'utf8')));
  expect(batch.state).toBe('finished');
  expect(batch.clips.map((clip) => clip.state)).toEqual(clips.map(() => 'done'));
}

/** Nothing with a name is half made, at any moment: each has its measurement beside it. */
async function expectNamedAreMeasured(): Promise<void> {
  for (const target of TARGETS) {
    for (const name of (await files(target)).filter((file) => !file.startsWith('.'))) {
      const path = join(shop.folder, 'out', 'measurements', target, `${name}.json`);
      const measured = measurement.parse(JSON.parse(await readFile(path, 'utf8')));
      expect(measured.video?.frames).toBe(FRAMES);
      expect(measured.decode).toMatchObject({ errors: 0, messages: [], truncated: false });
    }
  }
}

describe('a run that is interrupted', () => {
  it('by kill -9 goes on with what is missing, and makes nothing twice', async () => {
    await insert(3);
    const first = shop.start(runAll(), { detached: true });
    await waitFor(async () => (await mediaFiles()).filter((name) => !name.startsWith('.')).length >= 2);
    if (first.pid === undefined) throw new Error('goodgate did not start');
    process.kill(first.pid, 'SIGKILL');
    await first;
    await expectNamedAreMeasured();
    const finished = new Map<string, number>();
    for (const target of TARGETS) {
      for (const name of (await files(target)).filter((file) => !file.startsWith('.'))) {
        finished.set(`${target}/${name}`, (await stat(join(shop.folder, 'out', target, name))).mtimeMs);
      }
    }
    const second = await shop.start(runAll());
    expect(second.exitCode, second.stderr).toBe(0);
    await expectWhole();
    for (const [path, time] of finished) {
      expect((await stat(join(shop.folder, 'out', path))).mtimeMs, path).toBe(time);
    }
  });

  it('by Ctrl-C stops at once, says so, leaves nothing half made, and goes on when run again', async () => {
    await insert(3);
    const first = shop.start(runAll());
    await waitFor(async () => (await mediaFiles()).length >= 2);
    first.kill('SIGINT');
    const stopped = await first;
    expect(stopped.exitCode).toBe(130);
    expect(stopped.stdout).toContain('the same command again');
    expect((await mediaFiles()).filter((name) => name.startsWith('.'))).toEqual([]);
    await expectNamedAreMeasured();
    const state = batchSchema.parse(
      JSON.parse(await readFile(join(shop.folder, 'out', 'batch.json'), 'utf8')),
    ).state;
    expect(state).toBe('interrupted');

    const second = await shop.start(runAll());
    expect(second.exitCode, second.stderr).toBe(0);
    await expectWhole();
  });

  it('by a second Ctrl-C ends at once, and goes on when run again', async () => {
    await insert(2);
    const first = shop.start(runAll());
    await waitFor(async () => (await mediaFiles()).length >= 2);
    first.kill('SIGINT');
    first.kill('SIGTERM');
    // A process that hangs is killed here, and then has no exit code.
    const timer = setTimeout(() => first.kill('SIGKILL'), 15_000);
    expect((await first).exitCode).toBe(130);
    clearTimeout(timer);
    expect((await shop.start(runAll())).exitCode).toBe(0);
    await expectWhole();
  });

  it('by the death of Redis starts it again, and goes on by itself', async () => {
    await insert(2);
    const run = shop.start(runAll());
    await waitFor(async () => (await mediaFiles()).length >= 2);
    const socket = join(serverFolder(), 'redis.sock');
    const { stdout } = await execa('redis-cli', ['-s', socket, 'INFO', 'server']);
    process.kill(Number(/process_id:(\d+)/.exec(stdout)?.[1]), 'SIGKILL');
    const ended = await run;
    expect(ended.exitCode, ended.stderr).toBe(0);
    await expectWhole();
  });

  it('is not run twice at once in one folder', async () => {
    await insert(2);
    const first = shop.start(runAll());
    await waitFor(async () => (await mediaFiles()).length >= 1);
    const second = shop.start(runAll());
    if (second.stderr === null || first.stdout === null) throw new Error('both are piped');
    const [a, b] = await Promise.all([first, second]);
    expect(a.exitCode, a.stderr).toBe(0);
    // The second waits for the folder a while: it either was told that the folder is busy, or found
    // everything done.
    expect([0, 3]).toContain(b.exitCode);
    if (b.exitCode === 3) expect(b.stderr).toContain('another goodgate is working in this folder');
    await expectWhole();
  });
});

describe('a worker that is killed', () => {
  it('gives its clip to the next one', async () => {
    await insert(2);
    const submitted = await shop.start([...SUBMIT, '--json']);
    expect(submitted.exitCode, submitted.stderr).toBe(0);
    const first = shop.start(WORK);
    await waitFor(async () => (await mediaFiles()).length >= 1);
    first.kill('SIGTERM');
    await first;
    expect(first.exitCode ?? 130).toBe(130);
    expect((await mediaFiles()).filter((name) => name.startsWith('.'))).toEqual([]);

    const second = await shop.start(WORK);
    expect(second.exitCode, second.stderr).toBe(0);
    await expectWhole();
    const status = await shop.start(['status']);
    expect(status.stdout).toContain('2 of 2 clips done');
  });
});

it('a batch submitted again while it is worked on loses nothing', async () => {
  await insert(2);
  expect((await shop.start(SUBMIT)).exitCode).toBe(0);
  const worker = shop.start(WORK);
  await waitFor(async () => (await mediaFiles()).length >= 1);
  const again = await shop.start(SUBMIT);
  expect(again.exitCode, again.stderr).toBe(0);
  const worked = await worker;
  expect(worked.exitCode, worked.stderr).toBe(0);
  const log = await readFile(join(shop.folder, 'out', 'logs', 'batch.log'), 'utf8');
  expect(log).not.toContain('"code":');
  await expectWhole();
});
