import { cp, mkdtemp, readdir, readFile, rm, stat } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it, vi } from 'vitest';
import { measurement } from '../../jobs/measurement/measurement.js';
import { batch as batchSchema } from '../../jobs/plan/batch.js';
import { openWorkshop, type Workshop } from './goodgate.js';

// A loaded machine takes minutes for what an idle one does in seconds.
vi.setConfig({ testTimeout: 240_000 });

/**
 * More clips than are worked on at once: whenever one of the first two has files, the last has not begun. All
 * that is waited for is files, so that the clips may be as small as they like.
 */
const CLIPS = ['one', 'two', 'three'];
const FRAMES = 10;
/** Colours that no requirement warns of: stills of findings are not what is held here. */
const LEGAL = 'gradients=s=64x36:c0=0x406080:c1=0x809070';

let shop: Workshop;
let card: string;

beforeAll(async () => {
  card = await mkdtemp(join(tmpdir(), 'goodgate-card-'));
  for (const [index, name] of CLIPS.entries()) {
    await execa('ffmpeg', [
      ...['-v', 'error', '-y', '-f', 'lavfi', '-i', `${LEGAL}:r=25:d=${FRAMES / 25}`],
      ...['-f', 'lavfi', '-i', `sine=f=${300 + 100 * index}:r=48000:d=${FRAMES / 25}`],
      ...[
        '-vf',
        'format=yuv422p10le,setparams=range=tv:color_primaries=bt709:color_trc=bt709:colorspace=bt709',
      ],
      ...['-c:v', 'ffv1', '-c:a', 'pcm_s24le', '-timecode', '01:00:00:00', join(card, `${name}.mov`)],
    ]);
  }
});
afterAll(() => rm(card, { recursive: true, force: true }));

beforeEach(async () => {
  shop = await openWorkshop();
  await cp(card, join(shop.folder, 'card'), { recursive: true, preserveTimestamps: true });
});
afterEach(async () => {
  // However a test ended, no server stays behind.
  await waitFor(async () => !(await execa('ps', ['-eo', 'args'])).stdout.includes(serverFolder()));
  await shop.close();
});

const serverFolder = (): string => join(shop.folder, 'state', 'redis');

const WANTED = ['card', '--target', 'intermediate-422-10', '--target', 'proxy-h264', '--out', 'out'];
const RUN = ['run', ...WANTED, '--jobs', '2'];
const SUBMIT = ['submit', ...WANTED];

async function files(folder: string): Promise<string[]> {
  const all = await readdir(join(shop.folder, 'out', folder), { withFileTypes: true }).catch(() => []);
  return all.filter((entry) => entry.isFile()).map((entry) => entry.name);
}

/** Every media file in the batch folder, half-made ones too. */
async function mediaFiles(): Promise<string[]> {
  return [...(await files('intermediate-422-10')), ...(await files('proxy-h264'))];
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
  const names = await mediaFiles();
  expect(names.sort()).toEqual(CLIPS.flatMap((name) => [`${name}.mov`, `${name}.mp4`]).sort());
  for (const [folder, extension] of [
    ['intermediate-422-10', 'mov'],
    ['proxy-h264', 'mp4'],
  ] as const) {
    for (const name of CLIPS) {
      const { stdout } = await execa('ffprobe', [
        ...['-v', 'error', '-count_frames', '-select_streams', 'v', '-show_entries', 'stream=nb_read_frames'],
        ...['-of', 'csv=p=0', join(shop.folder, 'out', folder, `${name}.${extension}`)],
      ]);
      expect(Number.parseInt(stdout, 10), `${folder}/${name}`).toBe(FRAMES);
    }
  }
  const batch = batchSchema.parse(JSON.parse(await readFile(join(shop.folder, 'out', 'batch.json'), 'utf8')));
  expect(batch.state).toBe('finished');
  expect(batch.clips.map((clip) => clip.state)).toEqual(CLIPS.map(() => 'done'));
}

/** Nothing with a name is half made, at any moment: each has its measurement beside it. */
async function expectNamedAreMeasured(): Promise<void> {
  for (const folder of ['intermediate-422-10', 'proxy-h264']) {
    for (const name of (await files(folder)).filter((file) => !file.startsWith('.'))) {
      const path = join(shop.folder, 'out', 'measurements', folder, `${name}.json`);
      const measured = measurement.parse(JSON.parse(await readFile(path, 'utf8')));
      expect(measured.video?.frames).toBe(FRAMES);
      expect(measured.decode).toMatchObject({ errors: 0, messages: [], truncated: false });
    }
  }
}

describe('a run that is interrupted', () => {
  it('by kill -9 goes on with what is missing, and makes nothing twice', async () => {
    const first = shop.start(RUN, { detached: true });
    await waitFor(async () => (await mediaFiles()).filter((name) => !name.startsWith('.')).length >= 2);
    if (first.pid === undefined) throw new Error('goodgate did not start');
    process.kill(first.pid, 'SIGKILL');
    await first;
    await expectNamedAreMeasured();
    const finished = new Map<string, number>();
    for (const folder of ['intermediate-422-10', 'proxy-h264']) {
      for (const name of (await files(folder)).filter((file) => !file.startsWith('.'))) {
        finished.set(`${folder}/${name}`, (await stat(join(shop.folder, 'out', folder, name))).mtimeMs);
      }
    }
    const second = await shop.start(RUN);
    expect(second.exitCode, second.stderr).toBe(0);
    await expectWhole();
    for (const [path, time] of finished) {
      expect((await stat(join(shop.folder, 'out', path))).mtimeMs, path).toBe(time);
    }
  });

  it('by Ctrl-C stops at once, says so, leaves nothing half made, and goes on when run again', async () => {
    const first = shop.start(RUN);
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

    const second = await shop.start(RUN);
    expect(second.exitCode, second.stderr).toBe(0);
    await expectWhole();
  });

  it('by a second Ctrl-C ends at once, and goes on when run again', async () => {
    const first = shop.start(RUN);
    await waitFor(async () => (await mediaFiles()).length >= 2);
    first.kill('SIGINT');
    first.kill('SIGTERM');
    // A process that hangs is killed here, and then has no exit code.
    const timer = setTimeout(() => first.kill('SIGKILL'), 15_000);
    expect((await first).exitCode).toBe(130);
    clearTimeout(timer);
    expect((await shop.start(RUN)).exitCode).toBe(0);
    await expectWhole();
  });

  it('by the death of Redis starts it again, and goes on by itself', async () => {
    const run = shop.start(RUN);
    await waitFor(async () => (await mediaFiles()).length >= 2);
    const socket = join(serverFolder(), 'redis.sock');
    const { stdout } = await execa('redis-cli', ['-s', socket, 'INFO', 'server']);
    process.kill(Number(/process_id:(\d+)/.exec(stdout)?.[1]), 'SIGKILL');
    const ended = await run;
    expect(ended.exitCode, ended.stderr).toBe(0);
    await expectWhole();
  });

  it('is not run twice at once in one folder', async () => {
    const first = shop.start(RUN);
    await waitFor(async () => (await mediaFiles()).length >= 1);
    const second = shop.start(RUN);
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
    const submitted = await shop.start([...SUBMIT, '--json']);
    expect(submitted.exitCode, submitted.stderr).toBe(0);
    const work = ['work', '--root', '.', '--until-empty', '--concurrency', '2'];
    const first = shop.start(work);
    await waitFor(async () => (await mediaFiles()).length >= 1);
    first.kill('SIGTERM');
    await first;
    expect(first.exitCode ?? 130).toBe(130);
    expect((await mediaFiles()).filter((name) => name.startsWith('.'))).toEqual([]);

    const second = await shop.start(work);
    expect(second.exitCode, second.stderr).toBe(0);
    await expectWhole();
    const status = await shop.start(['status']);
    expect(status.stdout).toContain('3 of 3 clips done');
  });
});

it('a batch submitted again while it is worked on loses nothing', async () => {
  expect((await shop.start(SUBMIT)).exitCode).toBe(0);
  const worker = shop.start(['work', '--root', '.', '--until-empty', '--concurrency', '2']);
  await waitFor(async () => (await mediaFiles()).length >= 1);
  const again = await shop.start(SUBMIT);
  expect(again.exitCode, again.stderr).toBe(0);
  const worked = await worker;
  expect(worked.exitCode, worked.stderr).toBe(0);
  const log = await readFile(join(shop.folder, 'out', 'logs', 'batch.log'), 'utf8');
  expect(log).not.toContain('"code":');
  await expectWhole();
});
