import { writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { Queue } from 'bullmq';
import { execa } from 'execa';
import { afterAll, afterEach, describe, expect, it, vi } from 'vitest';
import { connect } from '../../../jobs/queue/connection.js';
import { KEY_PREFIX } from '../../../jobs/queue/names.js';
import type { Log, Site } from '../../../workers/clip-context.js';
import { clipSource } from '../../../workers/queue/clip-source.js';
import { deadline, limitsOf } from '../../../workers/queue/job-deadline.js';
import { Places } from '../../../workers/queue/places.js';
import { takeJobs } from '../../../workers/queue/take-jobs.js';
import { temporaryFolder } from '../../media/known-clip.js';
import { serverKinds } from '../../system/queue-servers.js';
import { clipJob } from './clip-job.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
afterEach(() => {
  vi.useRealTimers();
});
const path = (name: string): string => join(folder.path, name);

describe('the time a clip has', () => {
  const at = (fraction: number) => ({ stage: 'decode', fraction, detail: 'a.mov' }) as const;

  it.each([
    [1, 3_600, 14_400],
    [1_000, 10_000, 30_000],
    [Number.NaN, 3_600, 14_400],
    [-5, 3_600, 14_400],
  ])('planned %d s: %d s still, %d s in all', (seconds, still, whole) => {
    expect(limitsOf({ estimate: { seconds } })).toEqual({ still, whole });
  });

  it('begins with its first progress, and is renewed by each that is another', () => {
    vi.useFakeTimers();
    const time = deadline({ still: 60, whole: 1_000 }, 'a.mov');
    vi.advanceTimersByTime(5_000_000);
    expect(time.signal.aborted).toBe(false);
    for (let n = 0; n < 10; n++) {
      time.progress(at(n / 10));
      vi.advanceTimersByTime(59_000);
    }
    expect(time.signal.aborted).toBe(false);
    // The same again is no progress.
    time.progress(at(0.9));
    vi.advanceTimersByTime(2_000);
    expect(time.signal.reason).toMatchObject({ code: 'ffmpeg-timeout', what: 'no progress for 1 min 0 s' });
  });

  it('ends however much is told, and not after it was stopped', () => {
    vi.useFakeTimers();
    const slow = deadline({ still: 60, whole: 100 }, 'a.mov');
    const done = deadline({ still: 60, whole: 100 }, 'b.mov');
    done.progress(at(0));
    done.stop();
    for (let n = 0; n < 20; n++) {
      slow.progress(at(n / 100));
      vi.advanceTimersByTime(10_000);
    }
    expect(slow.signal.reason).toMatchObject({ what: expect.stringMatching(/^not done after 1 min 40 s/) });
    expect(done.signal.aborted).toBe(false);
  });
});

describe.each(await serverKinds())('a clip that hangs, on $kind', ({ start }) => {
  it('is ended and tried again, and others are done meanwhile', async () => {
    // The first ffmpeg that decodes it for its figures never ends.
    const hang = `case "$*" in *hangs.mov*) [ -e '${path('go')}' ] || exec sleep 600;; esac`;
    await writeFile(path('ffmpeg'), ['#!/bin/sh', hang, 'exec ffmpeg "$@"'].join('\n'), { mode: 0o755 });
    for (const name of ['hangs.mov', 'other.mov']) {
      const source = ['-f', 'lavfi', '-i', 'testsrc2=s=32x32:r=25:d=0.4', '-c:v', 'ffv1'];
      await execa('ffmpeg', ['-nostdin', '-loglevel', 'error', '-y', ...source, path(name)]);
    }
    const site: Site = {
      capabilities: {
        ...{ ffmpegVersion: 'x', ffprobeVersion: 'x', encoders: {}, filters: [], muxers: [] },
        ...{ fontFile: null, cores: 2 },
      },
      ...{ version: 'x', roots: [folder.path], tools: { ffmpeg: path('ffmpeg') } },
    };
    const server = await start();
    const redis = connect(server.server, { maxRetriesPerRequest: null });
    const queue = new Queue('clips', { connection: redis, prefix: KEY_PREFIX });
    const stop = new AbortController();
    const errors: string[] = [];
    const silent = (): void => undefined;
    const error: Log['error'] = (_, message) => {
      errors.push(message);
      // Its next try finds a machine that is well.
      void writeFile(path('go'), '');
    };
    const log: Log = { debug: silent, info: silent, warn: silent, error };
    const clips = clipSource({
      ...{ redis, queue: 'clips', site, places: new Places(2), stop: stop.signal, log, logFor: () => log },
      limits: (job) =>
        job.clip.name === 'hangs.mov' && errors.length === 0
          ? { still: 3, whole: 60 }
          : { still: 600, whole: 600 },
    });
    const worker = takeJobs({
      ...{ redis, sources: () => [clips], stop: stop.signal, log, firstPauseMs: 1 },
    });
    try {
      const data = await Promise.all(['hangs.mov', 'other.mov'].map((name) => clipJob(folder.path, name)));
      const jobs = await Promise.all(data.map((each) => queue.add('clip', each, { attempts: 4 })));
      await vi.waitFor(
        async () =>
          expect(await Promise.all(jobs.map((job) => job.getState()))).toEqual(['completed', 'completed']),
        { timeout: 50_000, interval: 100 },
      );
      expect(errors).toEqual(['hangs.mov: no progress for 3 s']);
    } finally {
      stop.abort();
      await worker.close();
      await queue.close();
      redis.disconnect();
      await server.stop();
    }
  });
});
