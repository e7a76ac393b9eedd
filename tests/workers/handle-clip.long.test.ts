import { readdir, readFile, stat, utimes, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { xxhash128 } from 'hash-wasm';
import { afterAll, describe, expect, it } from 'vitest';
import { type Measurement, measurement } from '../../jobs/measurement/measurement.js';
import { below, originalMeasurementFile } from '../../workers/batch/folder.js';
import type { ClipContext, Site } from '../../workers/clip-context.js';
import { handleClip } from '../../workers/handle-clip.js';
import { temporaryFolder } from '../media/known-clip.js';
import { clipJob } from './queue/clip-job.js';

const folder = await temporaryFolder();
afterAll(folder.remove);

const site: Site = {
  capabilities: {
    ...{ ffmpegVersion: 'x', ffprobeVersion: 'x', encoders: {}, filters: [], muxers: [] },
    ...{ fontFile: null, cores: 2 },
  },
  ...{ version: 'x', roots: [folder.path], tools: {} },
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
    ...(here === undefined ? {} : { parallelism: async () => ({ here }) }),
  };
  return { told, context };
}

async function measured(
  name: string,
  context: ClipContext,
  options: { anew?: boolean } = {},
): Promise<Measurement> {
  const data = await clipJob(folder.path, name);
  const { clip } = await handleClip(data, site, context, options);
  expect(clip).toMatchObject({ name, state: 'done', error: null });
  const text = await readFile(below(folder.path, originalMeasurementFile(name)), 'utf8');
  return measurement.parse(JSON.parse(text));
}

describe('a clip that is only judged', () => {
  it('is measured in parts while the worker has nothing else to do, with the same figures', async () => {
    const source = ['-f', 'lavfi', '-i', 'testsrc2=s=32x32:r=25:d=20'];
    const quiet = ['-hide_banner', '-nostdin', '-loglevel', 'error'];
    await execa('ffmpeg', [...quiet, ...source, '-c:v', 'mjpeg', join(folder.path, 'a.mov')]);
    const busy = listening(1);
    const idle = listening(2);
    const alone = await measured('a.mov', busy.context);
    const shared = await measured('a.mov', idle.context, { anew: true });
    expect(shared.video?.frames).toBe(500);
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
    const short = await measured('short.mov', context);
    expect(short.video?.frames).toBe(25);
    expect(told).toEqual(['measured in one go', 'ffmpeg ended']);
  });

  it('is measured by one of two that want it at once; the other waits and finds it done', async () => {
    const quiet = ['-hide_banner', '-nostdin', '-loglevel', 'error'];
    const source = ['-f', 'lavfi', '-i', 'testsrc2=s=32x32:r=25:d=1'];
    await execa('ffmpeg', [...quiet, ...source, '-c:v', 'ffv1', join(folder.path, 'both.mkv')]);
    const two = [listening(), listening()];
    const [one, other] = await Promise.all(two.map(({ context }) => measured('both.mkv', context)));
    expect(one).toEqual(other);
    const told = two.map((each) => each.told).sort((a, b) => a.length - b.length);
    expect(told).toEqual([
      ['ffmpeg ended'],
      ['waiting: another makes the same', 'everything is there already'],
    ]);
    expect(await readdir(join(folder.path, '.locks'))).toEqual([]);
  });

  it('is measured once, unless it is asked for anew', async () => {
    const quiet = ['-hide_banner', '-nostdin', '-loglevel', 'error'];
    const source = ['-f', 'lavfi', '-i', 'testsrc2=s=32x32:r=25:d=0.2'];
    await execa('ffmpeg', [...quiet, ...source, '-c:v', 'ffv1', join(folder.path, 'once.mkv')]);
    const { told, context } = listening();
    const first = await measured('once.mkv', context);
    expect(await measured('once.mkv', context)).toEqual(first);
    expect(told).toEqual(['ffmpeg ended', 'everything is there already']);
    expect(await measured('once.mkv', context, { anew: true })).toEqual(first);
    expect(told.at(-1)).toBe('ffmpeg ended');
  });

  it('has its bytes hashed while it is decoded, and a later run says whether they are the same', async () => {
    const path = join(folder.path, 'bytes.mkv');
    const source = ['-f', 'lavfi', '-i', 'testsrc2=s=32x32:r=25:d=0.2'];
    await execa('ffmpeg', ['-v', 'error', ...source, '-c:v', 'rawvideo', path]);
    const content = await readFile(path);
    const run = async () => {
      const data = await clipJob(folder.path, 'bytes.mkv');
      return (await handleClip(data, site, listening().context, { anew: true })).clip.bytesAsBefore;
    };
    expect(await run()).toBeNull();
    const kept = below(folder.path, originalMeasurementFile('bytes.mkv'));
    const first = measurement.parse(JSON.parse(await readFile(kept, 'utf8')));
    expect(first.file.hash).toEqual({ format: 'xxh128', value: await xxhash128(content) });
    // Copied once more: another time, the same bytes.
    const before = (await stat(kept)).mtime.toISOString();
    await utimes(path, 1_700_000_000, 1_700_000_000);
    expect(await run()).toEqual({ at: before, same: true });
    // A byte of a picture that is no other for size and time: nothing but the hash tells.
    const flipped = Buffer.from(content);
    const middle = Math.floor(flipped.length / 2);
    flipped.writeUInt8(255 - flipped.readUInt8(middle), middle);
    await writeFile(path, flipped);
    await utimes(path, 1_700_000_000, 1_700_000_000);
    await expect(run()).rejects.toMatchObject({
      code: 'clip-damaged',
      what: expect.stringContaining(await xxhash128(flipped)),
    });
    await utimes(path, 1_700_000_001, 1_700_000_001);
    expect(await run()).toMatchObject({ same: false });
  });
});
