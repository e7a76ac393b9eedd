import { execFile } from 'node:child_process';
import { mkdir, readdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { execa } from 'execa';
import { afterAll, afterEach, beforeAll, describe, expect, it } from 'vitest';
import { makeNamedPipes } from '../../workers/ffmpeg/named-pipes.js';
import { runFfmpeg } from '../../workers/ffmpeg/run-ffmpeg.js';
import { openMeasureTap } from '../../workers/measure/reading/open-tap.js';
import { probeClip } from '../../workers/probe/probe-clip.js';
import { flat, temporaryFolder, writeKnownClip } from '../media/known-clip.js';
import { measureFile } from '../media/measure-file.js';

const WIDTH = 64;
const HEIGHT = 36;
const PIXELS = WIDTH * HEIGHT;
const SDR = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'tv' } as const;

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
const systemTemporary = process.env['TMPDIR'];
let pipesIn: string;
beforeAll(async () => {
  folder = await temporaryFolder();
  pipesIn = join(folder.path, 'pipes');
  await mkdir(pipesIn);
  process.env['TMPDIR'] = pipesIn;
});
// Whatever happened, no pipe and no folder of pipes stays behind.
afterEach(async () => {
  const left = await readdir(pipesIn);
  expect(left.filter((name) => name.startsWith('goodgate-'))).toEqual([]);
});
afterAll(async () => {
  if (systemTemporary === undefined) delete process.env['TMPDIR'];
  else process.env['TMPDIR'] = systemTemporary;
  await folder.remove();
});

const frame = (code: number): number[][] => [
  flat(code, PIXELS),
  flat(512, PIXELS / 2),
  flat(512, PIXELS / 2),
];

async function clip(
  name: string,
  options: Partial<Parameters<typeof writeKnownClip>[1]> = {},
): Promise<string> {
  const path = join(folder.path, name);
  const frames = Array.from({ length: 12 }, (_, i) => frame(100 + 10 * i));
  await writeKnownClip(path, {
    width: WIDTH,
    height: HEIGHT,
    pixelFormat: 'yuv422p10le',
    colour: SDR,
    frames,
    ...options,
  });
  return path;
}

/**
 * Events that say the file or its reading went wrong; others tell what is seen and heard, which is not asked
 * here.
 */
const isFault = ({ kind }: { readonly kind: string }): boolean =>
  ['timestamp-gap', 'truncated', 'format-change', 'sound-format-change'].includes(kind);

describe('the tap', () => {
  it('reads many sounds and a picture at once, in whatever order ffmpeg writes them', async () => {
    // 12 streams of 10 s, far more than a pipe holds, and a picture that ends after half a second.
    const sound = Array.from(
      { length: 12 },
      (_, i) => `sine=frequency=${200 + 100 * i}:sample_rate=48000:duration=10`,
    );
    const { audio, video, decode, events } = await measureFile(await clip('many sounds.mkv', { sound }));
    expect(events.filter(isFault)).toEqual([]);
    expect(decode).toMatchObject({ errors: 0, messages: [], truncated: false });
    expect(video?.frames).toBe(12);
    expect(audio.map(({ samples }) => samples)).toEqual(new Array(12).fill(480_000));
    // lavfi's sine has an amplitude of 1/8: -18.06 dBFS.
    for (const { samplePeakDbfs } of audio) expect(samplePeakDbfs).toBeCloseTo(20 * Math.log10(1 / 8), 1);
  });

  it('rides beside another output of the same decode', async () => {
    const path = await clip('ride.mov', { sound: ['sine=sample_rate=48000:duration=0.48'] });
    const facts = await probeClip(path);
    const method = { ffmpeg: 'any', goodgate: 'any' };
    const seen: number[] = [];
    const tap = await openMeasureTap({ path, facts, colour: null, method, onFrames: (n) => seen.push(n) });
    const copy = join(folder.path, 'ride copy.mkv');
    const result = await runFfmpeg(
      {
        inputs: [{ path, options: [] }],
        outputs: [{ path: copy, options: ['-c:v', 'ffv1', '-an'] }, ...tap.outputs],
      },
      { onLine: (line) => tap.onLine(line) },
    );
    const measured = await tap.finish(result);
    await tap.abandon();
    expect(measured.decode.errors).toBe(0);
    expect(measured.video?.frames).toBe(12);
    expect(measured.levels?.luma).toMatchObject({ min: 100, max: 210 });
    expect(measured.audio[0]?.samples).toBe(23_040);
    expect((await measureFile(copy)).levels?.luma).toMatchObject({ min: 100, max: 210 });
  });

  it('measures rotated pictures as they are stored, and as they are turned', async () => {
    const path = await clip('rotated.mov', { encode: ['-c:v', 'v210'] });
    const turned = join(folder.path, 'turned.mov');
    await execa(
      'ffmpeg',
      [
        '-loglevel',
        'error',
        '-i',
        `file:${path}`,
        '-c',
        'copy',
        '-metadata:s:v',
        'rotate=90',
        `file:${turned}`,
      ],
      { stdin: 'ignore' },
    );
    const facts = await probeClip(turned);
    expect(Math.abs(facts.video?.rotation ?? 0) % 180).toBe(90);
    const stored = await measureFile(turned, { facts });
    expect(stored.levels?.luma).toMatchObject({ min: 100, max: 210 });
    const tap = await openMeasureTap({
      path: turned,
      facts,
      colour: null,
      method: { ffmpeg: '', goodgate: '' },
    });
    const result = await runFfmpeg(
      { inputs: [{ path: turned, options: [] }], outputs: tap.outputs },
      { onLine: (line) => tap.onLine(line) },
    );
    const upright = await tap.finish(result);
    expect(upright.video?.frames).toBe(12);
    // 4:2:2 turned by 90 degrees would need 4:4:0: ffmpeg resamples the chroma, and says so by its format or
    // not at all.
    expect(upright.decode.truncated).toBe(false);
  });

  it('is interrupted by its signal', async () => {
    const path = await clip('long.mkv', { sound: ['sine=sample_rate=48000:duration=200'] });
    const controller = new AbortController();
    setTimeout(() => controller.abort(), 300);
    await expect(measureFile(path, { signal: controller.signal })).rejects.toMatchObject({
      code: 'interrupted',
    });
  });

  it('can be abandoned before ffmpeg has come', async () => {
    const path = await clip('never.mkv');
    const facts = await probeClip(path);
    const tap = await openMeasureTap({ path, facts, colour: null, method: { ffmpeg: '', goodgate: '' } });
    await tap.abandon();
    await tap.abandon();
  });

  it('ends with the reason when ffmpeg fails at once', async () => {
    const path = await clip('fails.mkv');
    const facts = await probeClip(path);
    const tap = await openMeasureTap({ path, facts, colour: null, method: { ffmpeg: '', goodgate: '' } });
    const result = await runFfmpeg(
      { inputs: [{ path, options: ['-no_such_option', '1'] }], outputs: tap.outputs },
      { onLine: (line) => tap.onLine(line) },
    );
    const measured = await tap.finish(result);
    expect(measured.decode.errors).toBeGreaterThan(0);
    expect(measured.decode.truncated).toBe(true);
    expect(measured.levels).toBeNull();
    expect(measured.unmeasured.map(({ what }) => what)).toContain('levels');
  });
});

describe('what is not the declared picture is not measured as it', () => {
  it('a change of format in mid-stream is an event, and no figure can be relied on from there', async () => {
    const parts = [
      { size: '64x36', format: 'yuv420p' },
      { size: '96x54', format: 'yuv420p' },
    ];
    const path = join(folder.path, 'changing.ts');
    const streams = await Promise.all(
      parts.map(async ({ size, format }) => {
        const source = `color=white:size=${size}:rate=25:duration=0.4`;
        const args = [
          '-loglevel',
          'error',
          '-f',
          'lavfi',
          '-i',
          source,
          '-pix_fmt',
          format,
          '-c:v',
          'libx264',
          '-f',
          'mpegts',
          'pipe:1',
        ];
        return Buffer.from((await execa('ffmpeg', args, { encoding: 'buffer', stdin: 'ignore' })).stdout);
      }),
    );
    await writeFile(path, Buffer.concat(streams));
    const colour = { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'narrow' } as const;
    const measured = await measureFile(path, { colour });
    expect(measured.video?.frames).toBe(20);
    expect(measured.events).toContainEqual(
      expect.objectContaining({
        kind: 'format-change',
        from: 10,
        to: 20,
        detail: expect.stringContaining('96x54'),
      }),
    );
    const doubted = measured.unmeasured.map(({ what }) => what);
    expect(doubted).toEqual(expect.arrayContaining(['levels', 'luminance', 'exposure']));
  });

  it('a decoder that gives another format than the facts say', async () => {
    const path = await clip('other format.mkv');
    const facts = await probeClip(path);
    const wrong = { ...facts, video: facts.video && { ...facts.video, pixelFormat: 'yuv420p' } };
    const measured = await measureFile(path, { facts: wrong });
    expect(measured.levels).toBeNull();
    expect(measured.unmeasured).toContainEqual({
      what: 'levels',
      why: expect.stringContaining('yuv422p10le'),
    });
  });

  it('codes of unknown meaning: luma is counted, what needs the matrix is not guessed', async () => {
    const measured = await measureFile(await clip('untagged.mkv', { colour: {} }));
    expect(measured.levels?.luma).toMatchObject({ min: 100, max: 210 });
    expect(measured.levels?.rgb).toBeNull();
    const doubted = measured.unmeasured.map(({ what }) => what);
    expect(doubted).toEqual(expect.arrayContaining(['levels.rgb', 'levels.gamutError', 'luminance']));
  });
});

describe('time', () => {
  // Matroska's clock of 1 ms rounds 1001/30000 s to 33 and 34 ms in turn: constant all the same.
  it.each([
    ['rate.mkv', '30000/1001'],
    ['rate.mov', '30000/1001'],
    ['rate 23.mkv', '24000/1001'],
    ['rate 50.mov', '50'],
  ])('%s at %s is constant', async (name, rate) => {
    const { video } = await measureFile(await clip(name, { rate }));
    expect(video).toMatchObject({
      constantRate: true,
      frames: 12,
      framesDeclared: name.endsWith('mov') ? 12 : null,
    });
    const [num = 0, den = 1] = rate.split('/').map(Number);
    expect(video?.durationSeconds).toBeCloseTo((12 * den) / num, 6);
  });

  it('a dropped frame is a gap, with its place', async () => {
    const path = await clip('whole.mov', { encode: ['-c:v', 'v210'], timecode: '10:00:00:00' });
    const gappy = join(folder.path, 'gappy.mov');
    const drop = [
      '-vf',
      "select='not(eq(n,7))'",
      '-fps_mode',
      'passthrough',
      '-c:v',
      'v210',
      '-video_track_timescale',
      '25000',
    ];
    await execa('ffmpeg', ['-loglevel', 'error', '-i', `file:${path}`, ...drop, `file:${gappy}`], {
      stdin: 'ignore',
    });
    const facts = await probeClip(gappy);
    const declared = { ...facts, video: facts.video && { ...facts.video, frameRate: '25/1' } };
    const { video, events, decode } = await measureFile(gappy, { facts: declared });
    expect(decode.truncated).toBe(false);
    expect(video).toMatchObject({ constantRate: false, frames: 11 });
    expect(events.filter(isFault)).toEqual([
      {
        kind: 'timestamp-gap',
        from: 7,
        to: 8,
        fromTimecode: '10:00:00:07',
        toTimecode: '10:00:00:08',
        detail: '2 frames after the previous one, by its time stamp',
      },
    ]);
  });
});

describe('a pipe whose reader has died', () => {
  it('is drained until its writer has gone', async () => {
    const { pipes, remove } = await makeNamedPipes(1);
    const [pipe] = pipes;
    if (!pipe) throw new Error('no pipe');
    pipe.drain();
    await promisify(execFile)('dd', ['if=/dev/zero', `of=${pipe.path}`, 'bs=65536', 'count=64']);
    remove();
  });
});
