import { copyFile, readFile, utimes, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Colour } from '../../jobs/manifest/colour.js';
import { type Measurement, measurement } from '../../jobs/measurement/measurement.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';
import type { ClipJobData } from '../../jobs/queue/messages.js';
import { requirementSet } from '../../jobs/requirements/requirement.js';
import { below, measurementFile, originalMeasurementFile } from '../../workers/batch/folder.js';
import type { ClipContext, Log, Site } from '../../workers/clip-context.js';
import { handleClip } from '../../workers/handle-clip.js';
import { flat, temporaryFolder, writeKnownClip } from '../media/known-clip.js';
import { codec, HD, LOG, planned } from './make/recipes.js';
import { clipJob } from './queue/clip-job.js';

/**
 * What was measured for one piece of work is never taken for another's, whatever order they come in and
 * wherever they stop.
 */
const WIDTH = 128;
const HEIGHT = 72;
const folder = await temporaryFolder();
afterAll(folder.remove);
const path = (name: string): string => join(folder.path, name);

const clipOf = (luma: number) =>
  writeKnownClip(path('clip.mkv'), {
    ...{ width: WIDTH, height: HEIGHT, pixelFormat: 'yuv422p10le' },
    frames: [luma, luma + 1].map((code) => [
      flat(code, WIDTH * HEIGHT),
      flat(512, (WIDTH * HEIGHT) / 2),
      flat(512, (WIDTH * HEIGHT) / 2),
    ]),
  });
beforeAll(() => clipOf(400));

const site: Site = {
  capabilities: {
    ...{ ffmpegVersion: 'x', ffprobeVersion: 'x', encoders: {}, filters: [], muxers: [] },
    ...{ fontFile: null, cores: 2 },
  },
  ...{ version: 'x', roots: [folder.path], tools: {} },
};

class Killed extends Error {}

/** Stops, as a kill would, at the word of the log. Tells what the log was told. */
function contextUntil(word: string | null): ClipContext & { readonly told: string[] } {
  const told: string[] = [];
  const tell = (_: object, message: string): void => {
    told.push(message);
    if (message === word) throw new Killed(message);
  };
  const log: Log = { debug: tell, info: tell, warn: tell, error: tell };
  return { told, log, signal: new AbortController().signal, progress: () => undefined };
}

async function documentAt(file: string): Promise<Measurement> {
  return measurement.parse(JSON.parse(await readFile(below(folder.path, file), 'utf8')));
}

/**
 * A job that judges the clip as read by one colour, and makes an output of it; the keys are those of what
 * they stand for.
 */
async function jobOf(colour: Colour, output: Partial<OutputRecipe> | null = null): Promise<ClipJobData> {
  const data = await clipJob(folder.path, 'clip.mkv');
  const key = (of: string): string => Buffer.from(of.padEnd(10, '.')).toString('hex').slice(0, 20);
  const name = colour.transfer;
  const outputs =
    output === null
      ? []
      : [
          {
            ...planned({
              ...{ container: 'mkv', video: codec('ffv1', 'yuv422p10le', { lossless: true }) },
              ...{ sourceColour: colour, colour, ...output },
            }),
            ...{ key: key(`${output.rotation ?? 0}${name}`), path: 'a-target/clip.mkv' },
          },
        ];
  const judge = [
    { target: 'any', require: requirementSet.parse({ raster: { width: WIDTH, height: HEIGHT } }) },
  ];
  return {
    ...data,
    job: { ...data.job, clipKey: key(name), clip: { ...data.job.clip, colour }, outputs, judge },
  };
}

describe('two readings of one clip in turn', () => {
  it('are each judged by its own figures', async () => {
    const seen: (number | null)[] = [];
    for (const colour of [LOG, HD, LOG]) {
      const { clip } = await handleClip(await jobOf(colour), site, contextUntil(null));
      const file = originalMeasurementFile('clip.mkv');
      expect(clip.original?.file).toBe(file);
      // Only of a camera log picture there is an exposure.
      seen.push((await documentAt(file)).exposure?.medianStops ?? null);
    }
    expect(seen[0]).not.toBeNull();
    expect(seen).toEqual([seen[0], null, seen[0]]);
  });
});

describe('two outputs under one name in turn', () => {
  const file = measurementFile('a-target/clip.mkv');
  const aspectOf = async () => (await documentAt(file)).video?.sampleAspect;
  const [a, b] = [{ sampleAspect: '1/1' }, { sampleAspect: '2/1', rotation: 1 as never }];

  it('are each measured by themselves', async () => {
    const aspects: (string | null | undefined)[] = [];
    for (const recipe of [a, b, a]) {
      await handleClip(await jobOf(HD, recipe), site, contextUntil(null));
      aspects.push(await aspectOf());
    }
    expect(aspects).toEqual(['1/1', '2/1', '1/1']);
  });

  it.each(['output measured', 'output named'])(
    'and a kill at "%s": the older is not judged by the figures of the newer',
    async (word) => {
      await handleClip(await jobOf(HD, a), site, contextUntil(null));
      await expect(handleClip(await jobOf(HD, b), site, contextUntil(word))).rejects.toThrow(Killed);
      const again = contextUntil(null);
      await handleClip(await jobOf(HD, a), site, again);
      expect(again.told).not.toContain('everything is there already');
      expect(await aspectOf()).toBe('1/1');
    },
  );

  it('and one that was named when it was killed is whole', async () => {
    await handleClip(await jobOf(HD, a), site, contextUntil(null));
    await expect(handleClip(await jobOf(HD, b), site, contextUntil('output named'))).rejects.toThrow(Killed);
    const { told, ...context } = contextUntil(null);
    await handleClip(await jobOf(HD, b), site, context);
    expect(told).toContain('everything is there already');
  });
});

describe('a clip that was replaced by one of its size and time', () => {
  it('is refused as damaged, since no copy and no export leaves a file so', async () => {
    const time = new Date('2026-11-25T12:00:00Z');
    await utimes(path('clip.mkv'), time, time);
    await handleClip(await jobOf(HD), site, contextUntil(null));
    const bytes = await readFile(path('clip.mkv'));
    await clipOf(500);
    await copyFile(path('clip.mkv'), path('other.mkv'));
    const other = await readFile(path('other.mkv'));
    // The same length whatever the coder made of it.
    const padded = Buffer.concat([other, Buffer.alloc(Math.max(0, bytes.length - other.length))]);
    await writeFile(path('clip.mkv'), padded.subarray(0, bytes.length));
    await utimes(path('clip.mkv'), time, time);
    const { told, ...context } = contextUntil(null);
    await expect(handleClip(await jobOf(HD), site, context)).rejects.toMatchObject({ code: 'clip-damaged' });
    expect(told).not.toContain('everything is there already');
  });
});
