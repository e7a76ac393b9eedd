import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, describe, expect, it } from 'vitest';
import type { ClipJobData } from '../../../jobs/queue/messages.js';
import type { ClipContext, Site } from '../../../workers/clip-context.js';
import { decodeOnce } from '../../../workers/make/decode-once.js';
import { probeClip } from '../../../workers/probe/probe-clip.js';
import { temporaryFolder } from '../../media/known-clip.js';

const folder = await temporaryFolder();
afterAll(folder.remove);

const site: Site = {
  capabilities: {
    ...{ ffmpegVersion: 'x', ffprobeVersion: 'x', encoders: {}, filters: [], muxers: [] },
    ...{ fontFile: null, cores: 2 },
  },
  ...{ version: 'x', roots: [folder.path], ffmpegPath: undefined, ffprobePath: undefined },
};

/** What a job tells its log while it works. */
function listening(here?: number) {
  const told: string[] = [];
  const tell = (_: object, message: string): void => {
    told.push(message);
  };
  const context: ClipContext = {
    log: { debug: tell, info: tell, warn: tell, error: tell },
    signal: new AbortController().signal,
    progress: () => undefined,
    ...(here === undefined ? {} : { hands: async () => ({ here }) }),
  };
  return { told, context };
}

async function jobOf(name: string): Promise<ClipJobData> {
  const path = join(folder.path, name);
  const hash = '0'.repeat(64);
  return {
    ...{ batch: 'b', run: 'r', out: folder.path },
    job: {
      ...{ id: hash, clipKey: hash, outputs: [], judge: [], estimate: { seconds: 1 } },
      clip: { path, name, facts: await probeClip(path, {}), colour: null },
    },
  };
}

describe('a clip that is only judged', () => {
  it('is measured in parts while the worker has nothing else to do, with the same figures', async () => {
    const source = ['-f', 'lavfi', '-i', 'testsrc2=s=32x32:r=25:d=20'];
    const quiet = ['-hide_banner', '-nostdin', '-loglevel', 'error'];
    await execa('ffmpeg', [...quiet, ...source, '-c:v', 'mjpeg', join(folder.path, 'a.mov')]);
    const data = await jobOf('a.mov');
    const busy = listening(1);
    const idle = listening(2);
    const alone = await decodeOnce(data, [], true, site, busy.context);
    const shared = await decodeOnce(data, [], true, site, idle.context);
    expect(shared.original?.video?.frames).toBe(500);
    expect(shared).toEqual(alone);
    expect(busy.told).toEqual(['ffmpeg ended']);
    // Several ffmpeg, none of them the one that makes outputs.
    expect(idle.told).toEqual([]);
  });

  it('is measured in one go where it cannot be cut, and the log says why', async () => {
    const source = ['-f', 'lavfi', '-i', 'testsrc2=s=32x32:r=25:d=1'];
    const quiet = ['-hide_banner', '-nostdin', '-loglevel', 'error'];
    await execa('ffmpeg', [...quiet, ...source, '-c:v', 'mjpeg', join(folder.path, 'short.mov')]);
    const { told, context } = listening(2);
    const { original } = await decodeOnce(await jobOf('short.mov'), [], true, site, context);
    expect(original?.video?.frames).toBe(25);
    expect(told).toEqual(['measured in one go', 'ffmpeg ended']);
  });
});
