import { existsSync, readdirSync } from 'node:fs';
import { copyFile, mkdir, open, readFile, rm, stat, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { type Job, Queue } from 'bullmq';
import { execa } from 'execa';
import type { Redis } from 'ioredis';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { connect } from '../../../jobs/queue/connection.js';
import { type ClipJobData, partJobData } from '../../../jobs/queue/messages.js';
import { KEY_PREFIX, partsQueue, requesterKey } from '../../../jobs/queue/names.js';
import { below, originalMeasurementFile, PARTS_FOLDER, partsFolder } from '../../../workers/batch/folder.js';
import type { Log, Site } from '../../../workers/clip-context.js';
import { measureFile } from '../../../workers/measure/measure-file.js';
import { clipSource } from '../../../workers/queue/clip-source.js';
import { alike, shareParts } from '../../../workers/queue/shared-parts.js';
import { takeJobs } from '../../../workers/queue/take-jobs.js';
import { temporaryFolder } from '../../media/known-clip.js';
import { serverKinds, type TestServer } from '../../system/queue-servers.js';
import { clipJob } from './clip-job.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
const path = (name: string): string => join(folder.path, name);
const VERSION = '9.9.9';
const FFMPEG_VERSION = 'of the test';
/** 1000 frames of a codec whose decoder has threads: alone a worker measures them in one go. */
const LENGTH = ['-f', 'lavfi', '-i', 'testsrc2=s=64x36:r=25:d=40', '-f', 'lavfi', '-i', 'sine=997:d=40'];

beforeAll(async () => {
  const codec = ['-c:v', 'prores_ks', '-profile:v', 'lt', '-pix_fmt', 'yuv422p10le', '-c:a', 'pcm_s24le'];
  await execa('ffmpeg', ['-nostdin', '-loglevel', 'error', ...LENGTH, ...codec, path('long.mov')]);
  // Every range takes a while, so that each worker finds some left; `held` ones take until `go` is there.
  const script = [
    '#!/bin/sh',
    `case "$*" in *held*rawvideo*) while [ ! -e '${path('go')}' ]; do sleep 0.05; done;; *rawvideo*) sleep 1;; esac`,
    'exec ffmpeg "$@"',
  ];
  await writeFile(path('ffmpeg'), script.join('\n'), { mode: 0o755 });
});

function siteOf(version = VERSION): Site {
  return {
    capabilities: {
      ...{ ffmpegVersion: FFMPEG_VERSION, ffprobeVersion: 'x', encoders: {}, filters: [], muxers: [] },
      ...{ fontFile: null, cores: 2 },
    },
    ...{ version, roots: [folder.path], tools: { ffmpeg: path('ffmpeg') } },
  };
}

const jobOf = (name: string): Promise<ClipJobData> => clipJob(folder.path, name);

async function measurementOf(name: string): Promise<Measurement> {
  const text = await readFile(below(folder.path, originalMeasurementFile(name)), 'utf8');
  const document: Measurement = JSON.parse(text);
  // A worker takes the hash of the clip beside its decode.
  return { ...document, key: null, file: { ...document.file, hash: null } };
}

/** What measuring the file in one go gives. */
async function inOneGo(name: string): Promise<Measurement> {
  const measured = await measureFile(path(name), { version: VERSION, ffmpegVersion: FFMPEG_VERSION });
  return JSON.parse(JSON.stringify(measured));
}

/** A worker as `goodgate work` puts it together, and what it tells its log. */
function startWorker(redis: Redis, version = VERSION) {
  const told: string[] = [];
  const tell = (_: object, message: string): void => {
    told.push(message);
  };
  const log: Log = { debug: tell, info: tell, warn: tell, error: tell };
  const stop = new AbortController();
  const site = siteOf(version);
  const parts = shareParts({ redis, site, concurrency: 1, stop: stop.signal, log });
  let isPaused = false;
  const source = clipSource({
    ...{ redis, queue: 'clips', site, places: parts.places, elsewhere: parts.elsewhere },
    ...{ stop: stop.signal, log, logFor: () => log },
  });
  const sources = () => (isPaused ? [] : [source]);
  const clips = takeJobs({ redis, sources, stop: stop.signal, log });
  return {
    told,
    takenParts: () => told.filter((message) => message === 'part taken').length,
    pauseClips(isToPause = true) {
      isPaused = isToPause;
    },
    elsewhere: () => parts.elsewhere(folder.path),
    async stop() {
      stop.abort();
      await Promise.all([clips.close(), parts.close()]);
    },
  };
}

describe.each(await serverKinds())('workers on $kind', ({ start }) => {
  const cleaning: (() => unknown)[] = [];
  let server: TestServer;
  beforeAll(async () => {
    server = await start();
  });
  afterAll(async () => {
    for (const clean of cleaning.reverse()) await clean();
    await server.stop();
  });
  const connection = (): Redis => {
    const redis = connect(server.server, { maxRetriesPerRequest: null });
    cleaning.push(() => redis.disconnect());
    return redis;
  };
  const queueOf = (name: string): Queue => {
    const queue = new Queue(name, { connection: connection(), prefix: KEY_PREFIX });
    cleaning.push(() => queue.close());
    return queue;
  };
  const kind = (version = VERSION): string => partsQueue(alike(siteOf(version)));
  const idleFor = (worker: ReturnType<typeof startWorker>): Promise<void> =>
    vi.waitFor(async () => expect((await worker.elsewhere())?.places).toBe(1), { timeout: 20_000 });

  /** What a job returned, or why it failed. */
  async function done(queue: Queue, { id = '' }: Job): Promise<unknown> {
    return vi.waitFor(
      async () => {
        const job = await queue.getJob(id);
        expect(job?.finishedOn).toBeDefined();
        return job?.failedReason ?? job?.returnvalue;
      },
      { timeout: 100_000, interval: 100 },
    );
  }
  const nothingLeft = async (): Promise<void> => {
    const parts = queueOf(kind());
    await vi.waitFor(
      async () => {
        const counts = await parts.getJobCounts('wait', 'active', 'delayed', 'prioritized');
        expect(Object.values(counts)).toEqual([0, 0, 0, 0]);
      },
      { timeout: 20_000 },
    );
    const answers = path(PARTS_FOLDER);
    expect(existsSync(answers) ? readdirSync(answers) : []).toEqual([]);
  };

  it('measure the parts of one file, to the last bit as one does', async () => {
    const [asking, helping] = [startWorker(connection()), startWorker(connection())];
    helping.pauseClips();
    await idleFor(asking);
    const queue = queueOf('clips');
    const job = await queue.add('clip', await jobOf('long.mov'));
    expect(await done(queue, job)).toMatchObject({ state: 'done' });
    expect(asking.takenParts() + helping.takenParts()).toBe(4);
    expect(asking.takenParts()).toBeGreaterThan(0);
    expect(helping.takenParts()).toBeGreaterThan(0);
    expect(await measurementOf('long.mov')).toEqual(await inOneGo('long.mov'));
    await nothingLeft();
    await Promise.all([asking.stop(), helping.stop()]);
  }, 120_000);

  it('go on alone when the one that helps is stopped in the middle of a part', async () => {
    await copyFile(path('long.mov'), path('held-a.mov'));
    const [asking, helping] = [startWorker(connection()), startWorker(connection())];
    helping.pauseClips();
    await idleFor(asking);
    const queue = queueOf('clips');
    const job = await queue.add('clip', await jobOf('held-a.mov'));
    await vi.waitFor(() => expect(helping.takenParts()).toBe(1), { timeout: 30_000 });
    await helping.stop();
    await writeFile(path('go'), '');
    expect(await done(queue, job)).toMatchObject({ state: 'done' });
    expect(asking.takenParts()).toBe(4);
    expect(await measurementOf('held-a.mov')).toEqual(await inOneGo('held-a.mov'));
    await nothingLeft();
    await asking.stop();
  }, 120_000);

  it('measure damaged files in one go, whoever found the damage', async () => {
    await copyFile(path('long.mov'), path('damaged.mov'));
    const { size } = await stat(path('damaged.mov'));
    const file = await open(path('damaged.mov'), 'r+');
    // In the media data, in the last of the parts.
    await file.write(Buffer.alloc(4000, 0xa5), 0, 4000, Math.floor(size * 0.9));
    await file.close();
    const [asking, helping] = [startWorker(connection()), startWorker(connection())];
    helping.pauseClips();
    await idleFor(asking);
    const queue = queueOf('clips');
    const job = await queue.add('clip', await jobOf('damaged.mov'));
    expect(await done(queue, job)).toMatchObject({ state: 'done' });
    expect(asking.takenParts() + helping.takenParts()).toBeGreaterThan(0);
    expect(asking.told).toContain('measured in one go');
    const measured = await measurementOf('damaged.mov');
    expect(measured.decode.errors).toBeGreaterThan(0);
    expect(measured).toEqual(await inOneGo('damaged.mov'));
    await nothingLeft();
    await Promise.all([asking.stop(), helping.stop()]);
  }, 120_000);

  it('take no part nobody waits for, none outside their folders, and none of a changed file', async () => {
    const worker = startWorker(connection());
    const redis = connection();
    const parts = queueOf(kind());
    const { facts } = (await jobOf('long.mov')).job.clip;
    const data = partJobData.parse({
      ...{ requester: 'a'.repeat(32), out: folder.path, part: 0, path: path('long.mov') },
      ...{ bytes: facts.bytes, modified: facts.modified, video: facts.video, colour: null },
      ...{ range: { from: 0, to: 250, lead: 0 }, isLast: false },
      numbering: { origin: { ticks: 0, timeBase: { num: 1, den: 12800 } }, rate: { num: 25, den: 1 } },
    });
    const answer = async (change: object): Promise<unknown> => {
      return done(parts, await parts.add('part', { ...data, ...change }));
    };
    expect(await answer({})).toEqual({ state: 'unwanted' });
    await redis.set(requesterKey(data.requester), '1', 'EX', 60);
    // The requester's folder is not to be seen here.
    expect(await answer({})).toMatch(/ENOENT/);
    await mkdir(below(folder.path, partsFolder(data.requester)), { recursive: true });
    expect(await answer({ path: '/etc/passwd' })).toMatch(/does not lie under/);
    expect(await answer({ out: '/tmp' })).toMatch(/does not lie under/);
    expect(await answer({ bytes: 1 })).toMatch(/changed/);
    expect(await answer({ command: 'rm' })).toMatch(/bad-job/);
    expect(await answer({ requester: '../../etc' })).toMatch(/bad-job/);
    await rm(path(PARTS_FOLDER), { recursive: true });
    await worker.stop();
  }, 60_000);

  it('of another version do not help', async () => {
    const asking = startWorker(connection());
    const others = [startWorker(connection(), '8.0.0'), startWorker(connection(), '8.0.0')];
    // The others have said that they are idle: they see each other.
    for (const other of others) await idleFor(other);
    expect(await asking.elsewhere()).toBeNull();
    await Promise.all([asking, ...others].map((worker) => worker.stop()));
  }, 60_000);
});
