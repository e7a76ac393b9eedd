import { readFileSync } from 'node:fs';
import { copyFile, readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { Queue, QueueEvents } from 'bullmq';
import { execa } from 'execa';
import { afterAll, describe, expect, it, vi } from 'vitest';
import type { Measurement } from '../../../jobs/measurement/measurement.js';
import { connect } from '../../../jobs/queue/connection.js';
import type { ClipJobData } from '../../../jobs/queue/messages.js';
import { KEY_PREFIX } from '../../../jobs/queue/names.js';
import { below, originalMeasurementFile } from '../../../workers/batch/folder.js';
import type { Log, Site } from '../../../workers/clip-context.js';
import { clipSource } from '../../../workers/queue/clip-source.js';
import { Places } from '../../../workers/queue/places.js';
import { takeJobs } from '../../../workers/queue/take-jobs.js';
import { temporaryFolder } from '../../media/known-clip.js';
import { serverKinds } from '../../system/queue-servers.js';
import { clipJob } from './clip-job.js';

const folder = await temporaryFolder();
afterAll(folder.remove);
const path = (name: string): string => join(folder.path, name);

/** An ffmpeg that writes down what it is asked, and keeps what is to be held until `go` is there. */
async function slowFfmpeg(): Promise<string> {
  const script = [
    '#!/bin/sh',
    `echo "$*" >> '${path('commands')}'`,
    `case "$*" in *held-*) while [ ! -e '${path('go')}' ]; do sleep 0.05; done;; esac`,
    'exec ffmpeg "$@"',
  ];
  await writeFile(path('ffmpeg'), script.join('\n'), { mode: 0o755 });
  await writeFile(path('commands'), '');
  return path('ffmpeg');
}

/** Commands about a clip that hold these words. */
function commandsOf(clip: string, words: string): number {
  const lines = readFileSync(path('commands'), 'utf8').split('\n');
  return lines.filter((line) => line.includes(clip) && line.includes(words)).length;
}

/** Ranges of a clip whose samples were asked for. */
const rangesOf = (clip: string): number => commandsOf(clip, '-c:v rawvideo');

const jobOf = (name: string): Promise<ClipJobData> => clipJob(folder.path, name);

async function measurementOf(name: string): Promise<Measurement> {
  const text = await readFile(below(folder.path, originalMeasurementFile(name)), 'utf8');
  return { ...JSON.parse(text), file: null, key: null };
}

describe.each(await serverKinds())('a worker on $kind', ({ start }) => {
  it('gives a clip the places that no other clip has', async () => {
    const site: Site = {
      capabilities: {
        ...{ ffmpegVersion: 'x', ffprobeVersion: 'x', encoders: {}, filters: [], muxers: [] },
        ...{ fontFile: null, cores: 4 },
      },
      ...{ version: 'x', roots: [folder.path], tools: { ffmpeg: await slowFfmpeg() } },
    };
    // 1000 frames of a codec that decodes on one thread: enough for four parts.
    const source = ['-f', 'lavfi', '-i', 'testsrc2=s=32x32:r=25:d=40', '-c:v', 'mjpeg'];
    await execa('ffmpeg', ['-nostdin', '-loglevel', 'error', '-y', ...source, path('held-a.mov')]);
    const others = ['held-b.mov', 'free-c.mov', 'free-d.mov'];
    for (const name of others) await copyFile(path('held-a.mov'), path(name));

    const server = await start();
    const redis = connect(server.server, { maxRetriesPerRequest: null });
    const connection = { connection: redis, prefix: KEY_PREFIX };
    const queue = new Queue('clips', connection);
    const events = new QueueEvents('clips', connection);
    const stop = new AbortController();
    const silent = (): void => undefined;
    const log: Log = { debug: silent, info: silent, warn: silent, error: silent };
    const clips = clipSource({
      ...{ redis, queue: 'clips', site, places: new Places(4), stop: stop.signal, log, logFor: () => log },
    });
    const worker = takeJobs({ redis, sources: () => [clips], stop: stop.signal, log });
    const add = async (name: string) => {
      const job = await queue.add('clip', await jobOf(name));
      return job.waitUntilFinished(events);
    };
    const begun = (name: string): Promise<void> =>
      vi.waitFor(() => expect(commandsOf(name, 'trim=end_frame=1,')).toBe(1), { timeout: 30_000 });
    try {
      await events.waitUntilReady();
      const a = add('held-a.mov');
      await begun('held-a.mov');
      const b = add('held-b.mov');
      await begun('held-b.mov');
      // Four places: a came when all were free, b when a had one. With three clips there is one for each.
      expect(await add('free-c.mov')).toMatchObject({ state: 'done' });
      expect(rangesOf('free-c.mov')).toBe(1);

      await writeFile(path('go'), '');
      expect(await Promise.all([a, b])).toMatchObject([{ state: 'done' }, { state: 'done' }]);
      expect([rangesOf('held-a.mov'), rangesOf('held-b.mov')]).toEqual([4, 2]);

      // All places are free again.
      expect(await add('free-d.mov')).toMatchObject({ state: 'done' });
      expect(rangesOf('free-d.mov')).toBe(4);
      const alone = await measurementOf('free-c.mov');
      expect(alone.video?.frames).toBe(1000);
      for (const name of ['held-a.mov', 'held-b.mov', 'free-d.mov'])
        expect(await measurementOf(name)).toEqual(alone);
    } finally {
      await writeFile(path('go'), '');
      stop.abort();
      await worker.close();
      await events.close();
      await queue.close();
      redis.disconnect();
      await server.stop();
    }
  }, 120_000);
});
