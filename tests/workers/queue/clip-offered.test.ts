import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { Queue } from 'bullmq';
import { execa } from 'execa';
import { afterAll, expect, it, vi } from 'vitest';
import { connect } from '../../../jobs/queue/connection.js';
import { batchQueues, KEY_PREFIX } from '../../../jobs/queue/names.js';
import { tellPresence } from '../../../jobs/queue/present-workers.js';
import type { Log } from '../../../workers/clip-context.js';
import { clipSource } from '../../../workers/queue/clip-source.js';
import { offersOf } from '../../../workers/queue/offers.js';
import { Places } from '../../../workers/queue/places.js';
import { KnownPlans } from '../../../workers/queue/plan-needs.js';
import { type JobEnd, takeJobs } from '../../../workers/queue/take-jobs.js';
import { temporaryFolder } from '../../media/known-clip.js';
import { serverKinds } from '../../system/queue-servers.js';
import { clipJob } from './clip-job.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
const path = (name: string): string => join(folder.path, name);

it('a clip of a worker whose ffmpeg ends at once goes to the others with all its tries, and leaves no result', async () => {
  await execa('ffmpeg', [
    ...['-v', 'error', '-f', 'lavfi', '-i', 'testsrc2=s=32x32:r=25:d=0.2', '-c:v', 'mjpeg', path('a.mov')],
  ]);
  await writeFile(path('ffmpeg'), '#!/bin/sh\nexit 1\n', { mode: 0o755 });
  const [kind] = await serverKinds();
  const server = await kind?.start();
  if (server === undefined) throw new Error('no server');
  const redis = connect(server.server);
  const software = { goodgate: '1', code: 'c', ffmpeg: '5.1' };
  const { clips } = batchQueues('b');
  const queue = new Queue(clips, { connection: redis, prefix: KEY_PREFIX });
  const log: Log = { debug: vi.fn(), info: vi.fn(), warn: vi.fn(), error: vi.fn() };
  const stop = new AbortController();
  const ends: JobEnd[] = [];
  const source = clipSource({
    ...{ redis, queue: clips, places: new Places(1), stop: stop.signal, log, logFor: () => log },
    site: {
      capabilities: {
        ...{ ffmpegVersion: 'x', ffprobeVersion: 'x', encoders: {}, filters: [], muxers: [] },
        ...{ fontFile: null, cores: 1 },
      },
      ...{ version: 'x', roots: [folder.path], tools: { ffmpeg: path('ffmpeg') } },
    },
    onEnd: (_, end) => void ends.push(end),
    others: {
      offers: offersOf({ redis, me: 'a'.repeat(16), entry: { id: 'b', software } }),
      plans: new KnownPlans(),
    },
  });
  try {
    const other = {
      id: 'b'.repeat(16),
      host: 'good',
      pid: 7,
      software,
      aside: null,
      isOpen: true,
      leaves: {},
    };
    await tellPresence(other, redis);
    await queue.add('clip', await clipJob(folder.path, 'a.mov'), { jobId: 'a', attempts: 4 });
    const worker = takeJobs({ redis, sources: () => [source], stop: stop.signal, log });
    await vi.waitFor(() => expect(ends.length).toBeGreaterThan(0), { timeout: 30_000 });
    await worker.close();
    expect(ends[0]).toMatchObject({ is: 'cannot', hasFailed: true });
    expect(ends[0]).toHaveProperty('why', expect.stringContaining('another worker (good, process 7)'));
    const job = await queue.getJob('a');
    expect([job?.attemptsMade, await job?.getState()]).toEqual([0, 'prioritized']);
    await expect(execa('ls', [path('results')])).rejects.toThrow();
  } finally {
    stop.abort();
    await queue.close();
    redis.disconnect();
    await server.stop();
  }
}, 120_000);
