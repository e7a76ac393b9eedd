import { mkdir, readdir, readFile, readlink, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import type { ClipFacts, VideoFacts } from '../../../../jobs/manifest/facts.js';
import type { MeasuredFigures } from '../../../../jobs/measurement/measurement.js';
import { decodesOnOneThread, readThreading } from '../../../../workers/capabilities/decoder-threads.js';
import type { FrameFigures } from '../../../../workers/measure/figures/frame-table.js';
import { frameTableCsv } from '../../../../workers/measure/figures/frame-table.js';
import { measureFile } from '../../../../workers/measure/measure-file.js';
import {
  divideFile,
  isUndivided,
  pictureMemory,
  type Undivided,
} from '../../../../workers/measure/parts/divide.js';
import { measureInParts } from '../../../../workers/measure/parts/measure-in-parts.js';
import { rangesBetween } from '../../../../workers/measure/parts/part-ranges.js';
import { probeClip } from '../../../../workers/probe/probe-clip.js';
import { patched, u32 } from '../../../media/boxes.js';
import { temporaryFolder, writeKnownClip } from '../../../media/known-clip.js';
import { naiveFacts } from '../picture/kernel/naive-picture.js';
import { PROGRAMME_FRAMES, programmeFrame } from './programme.js';

const WIDTH = 64;
const HEIGHT = 36;
const TONE = 'sine=frequency=997:sample_rate=48000';

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
beforeAll(async () => {
  folder = await temporaryFolder();
});
afterAll(() => folder.remove());
afterEach(() => vi.unstubAllEnvs());

const path = (name: string): string => join(folder.path, name);

async function ffmpeg(...args: readonly string[]): Promise<void> {
  await execa('ffmpeg', ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...args]);
}

/** The programme, losslessly, with two streams of sound. */
async function writeProgramme(
  name: string,
  options: {
    readonly rate?: string;
    readonly frames?: readonly number[];
    readonly transfer?: string;
    readonly encode?: readonly string[];
    readonly sound?: boolean;
  } = {},
): Promise<string> {
  const rate = options.rate ?? '5';
  const frames = options.frames ?? Array.from({ length: PROGRAMME_FRAMES }, (_, frame) => frame);
  const [num = 5, den = 1] = rate.split('/').map(Number);
  const seconds = (frames.length * den) / num;
  const isPq = options.transfer === 'smpte2084';
  await writeKnownClip(path(name), {
    ...{ width: WIDTH, height: HEIGHT, pixelFormat: 'yuv422p10le', rate },
    frames: frames.map((frame) => programmeFrame(frame, WIDTH, HEIGHT)),
    colour: {
      primaries: isPq ? 'bt2020' : 'bt709',
      transfer: options.transfer ?? 'bt709',
      matrix: isPq ? 'bt2020nc' : 'bt709',
      range: 'tv',
    },
    encode: options.encode ?? [
      '-c:v',
      'ffv1',
      '-level',
      '3',
      '-g',
      '1',
      '-slicecrc',
      '1',
      '-c:a',
      'pcm_s24le',
    ],
    sound:
      options.sound === false ? [] : [`${TONE}:duration=${seconds}`, `sine=frequency=60:duration=${seconds}`],
    ...(name.endsWith('.mov') ? { timecode: '00:00:59:00' } : {}),
  });
  return path(name);
}

interface Measured {
  readonly whole: MeasuredFigures;
  readonly parts: MeasuredFigures | Undivided;
  readonly tables: readonly [string, string];
}

/** In one go, and in parts cut at these frames. */
async function measureBoth(file: string, seams: readonly number[]): Promise<Measured> {
  const facts = await probeClip(file, {});
  const division = divideFile(facts, null, { here: 2, elsewhere: 0, leastFrames: 1 });
  if (isUndivided(division)) throw new Error(division.reason);
  const memory = pictureMemory(division.video, null, division.rate) ?? 0;
  const tables: string[] = [];
  const onFrameFigures = (figures: FrameFigures): void => {
    tables.push([...frameTableCsv(figures)].join(''));
  };
  const method = { ffmpeg: 'this one', goodgate: 'this one' };
  const {
    schema,
    key,
    file: _,
    ...whole
  } = await measureFile(file, {
    ...{ facts, onFrameFigures, ffmpegVersion: method.ffmpeg, version: method.goodgate },
  });
  const end = facts.video?.frames ?? 0;
  const parts = await measureInParts(
    { ...division, ranges: rangesBetween([0, ...seams, end], memory) },
    { path: file, facts, colour: null, method, onFrameFigures },
  );
  return { whole, parts, tables: [tables[0] ?? '', tables[1] ?? ''] };
}

async function expectSame(file: string, seams: readonly number[]): Promise<MeasuredFigures> {
  const { whole, parts, tables } = await measureBoth(file, seams);
  expect(parts).toEqual(whole);
  expect(tables[1]).toBe(tables[0]);
  expect(tables[0].length).toBeGreaterThan(0);
  return whole;
}

describe('a file measured in parts is the file measured in one go', () => {
  it('PQ with bars, black, a still, flashes and cuts across the seams, and sound', async () => {
    const file = await writeProgramme('pq.mov', { rate: '10', transfer: 'smpte2084' });
    const whole = await expectSame(file, [18, 29, 36, 55]);
    // That there is something to lose.
    expect(whole.luminance?.maxFall).toBeGreaterThan(0);
    expect(whole.video?.frames).toBe(PROGRAMME_FRAMES);
    expect(whole.audio[0]?.integratedLufs).not.toBeNull();
    expect(whole.events.map(({ kind }) => kind)).toEqual(
      expect.arrayContaining(['black', 'duplicate', 'flash']),
    );
  });

  it('interlaced, its field order reversed behind the seam, in stamps of whole milliseconds', async () => {
    const programme = Array.from({ length: 110 }, (_, frame) =>
      frame < 55 ? 40 + (frame % 6) : 46 + (frame % 6),
    );
    const file = await writeProgramme('fields.mkv', {
      ...{ rate: '30000/1001', frames: programme, sound: false },
      encode: ['-c:v', 'ffv1', '-level', '3', '-g', '1', '-field_order', 'tt'],
    });
    await expectSame(file, [95, 104]);
  });

  it.each([
    ['three frames in two parts', [30, 31, 32], [1]],
    ['as many parts as frames', [28, 29, 30, 31], [1, 2, 3]],
  ])('%s', async (what, frames, seams) => {
    const file = await writeProgramme(`${what}.mov`, { frames, sound: false, encode: ['-c:v', 'v210'] });
    await expectSame(file, seams);
  });

  it('a picture that begins after the sound, in a file that does not begin at 0', async () => {
    const plain = await writeProgramme('plain.mov', { encode: ['-c:v', 'mjpeg', '-pix_fmt', 'yuvj422p'] });
    const late = path('late.mkv');
    await ffmpeg(
      ...['-itsoffset', '0.7', '-i', plain, '-i', plain, '-map', '0:v', '-map', '1:a', '-c', 'copy'],
      ...['-output_ts_offset', '3', late],
    );
    const whole = await expectSame(late, [20, 41]);
    expect(whole.audio[0]?.startSeconds).toBeLessThan(-0.5);
  });

  it('MXF, whose time stamps count frames', async () => {
    const file = path('frames.mxf');
    const source = ['-f', 'lavfi', '-i', 'testsrc2=s=256x144:r=25:d=1'];
    await ffmpeg(...source, '-c:v', 'dnxhd', '-profile:v', 'dnxhr_hq', '-pix_fmt', 'yuv422p', file);
    await expectSame(file, [20]);
  });

  it('an edit list that leaves out the first frames', async () => {
    const plain = await writeProgramme('whole.mp4', {
      ...{ sound: false, encode: ['-c:v', 'mjpeg', '-pix_fmt', 'yuvj422p'] },
    });
    const bytes = await readFile(plain);
    const scale = 10_240;
    // media_time of the only entry (ISO/IEC 14496-12, 8.6.6): three frames of 1/5 s.
    const cut = patched(bytes, 'elst', 12, u32((3 * scale) / 5));
    await writeFile(path('cut.mp4'), cut);
    const whole = await expectSame(path('cut.mp4'), [20, 33]);
    expect(whole.video?.frames).toBe(PROGRAMME_FRAMES - 3);
  });
});

/** Why a file cannot be measured in two parts, or null where it was. */
async function whyWhole(file: string, signal?: AbortSignal): Promise<string | null> {
  const facts = await probeClip(file, {});
  // Parts have to find out by themselves what a header may not tell.
  const video = facts.video && { ...facts.video, constantRate: null };
  const division = divideFile({ ...facts, video }, null, { here: 2, elsewhere: 0, leastFrames: 1 });
  if (isUndivided(division)) return division.reason;
  const method = { ffmpeg: 'x', goodgate: 'x' };
  const answer = await measureInParts(division, { path: file, facts, colour: null, method, signal });
  return isUndivided(answer) ? answer.reason : null;
}

async function overwritten(file: string, name: string, from: number, bytes: number): Promise<string> {
  const copy = await readFile(file);
  copy.fill(0, Math.floor(copy.length * from), Math.floor(copy.length * from) + bytes);
  await writeFile(path(name), copy);
  return path(name);
}

/**
 * JPEGs one after the other, of which only the first keeps its tables of quantisation (ITU-T T.81, B.2.4.1
 * and B.5).
 */
function withoutTables(jpegs: Buffer): Buffer {
  const kept: Buffer[] = [];
  let at = 0;
  for (let picture = 0; at < jpegs.length; picture++) {
    kept.push(jpegs.subarray(at, at + 2));
    at += 2;
    while (jpegs[at + 1] !== 0xda) {
      const next = at + 2 + jpegs.readUInt16BE(at + 2);
      if (picture === 0 || jpegs[at + 1] !== 0xdb) kept.push(jpegs.subarray(at, next));
      at = next;
    }
    const end = jpegs.indexOf(Buffer.from([0xff, 0xd9]), at) + 2;
    kept.push(jpegs.subarray(at, end));
    at = end;
  }
  return Buffer.concat(kept);
}

describe('where parts are not certainly the whole there are none', () => {
  it.each([
    [
      'groups of pictures',
      ['-c:v', 'ffv1', '-level', '3', '-g', '12'],
      /not every frame is an intra picture/,
    ],
    [
      'a varying rate',
      ['-c:v', 'ffv1', '-g', '1', '-vf', "select='mod(n,7)'", '-fps_mode', 'vfr'],
      /time stamp/,
    ],
  ])('%s', async (what, encode, why) => {
    const file = await writeProgramme(`${what}.mkv`, { encode, sound: false });
    expect(await whyWhole(file)).toMatch(why);
  });

  it('damage, in the first part and in the last', async () => {
    const file = await writeProgramme('intact.mkv', { sound: false });
    for (const from of [0.3, 0.7]) {
      expect(await whyWhole(await overwritten(file, 'hurt.mkv', from, 400)), String(from)).toMatch(
        /ffmpeg|first frame/,
      );
    }
  });

  it('pictures that use the tables of an earlier one, which the decoder does without and keeps quiet', async () => {
    const plain = await writeProgramme('jpegs.mkv', {
      ...{ sound: false },
      encode: ['-c:v', 'mjpeg', '-pix_fmt', 'yuvj422p'],
    });
    await ffmpeg('-i', plain, '-c', 'copy', '-f', 'mjpeg', path('jpegs'));
    await writeFile(path('bare'), withoutTables(await readFile(path('jpegs'))));
    await ffmpeg('-r', '5', '-f', 'mjpeg', '-i', path('bare'), '-c', 'copy', path('bare.mov'));
    expect(await whyWhole(path('bare.mov'))).toMatch(/the same frame has another/);
  });

  it('a file that is cut short', async () => {
    const file = await writeProgramme('long.mkv', { sound: false });
    const bytes = await readFile(file);
    await writeFile(path('short.mkv'), bytes.subarray(0, Math.floor(bytes.length * 0.8)));
    expect(await whyWhole(path('short.mkv'))).not.toBeNull();
  });

  it('leaves nothing behind when it is interrupted', async () => {
    // Two parts, each with samples and errors; two streams of sound, and their errors.
    const PIPES = 7;
    const file = await writeProgramme('stopped.mov');
    const scratch = path('scratch');
    await mkdir(scratch);
    vi.stubEnv('TMPDIR', scratch);
    // This process holds its own end of each pipe that is in use.
    const pipes = async (): Promise<number> => {
      const held = (await readdir('/proc/self/fd')).map((fd) =>
        readlink(`/proc/self/fd/${fd}`).catch(() => ''),
      );
      return new Set((await Promise.all(held)).filter((to) => to.startsWith(scratch))).size;
    };
    const stop = new AbortController();
    let most = 0;
    const look = setInterval(async () => {
      // Looks overlap, so the most so far is read after this one has ended.
      const inUse = await pipes();
      most = Math.max(most, inUse);
      if (most >= PIPES) stop.abort();
    }, 2);
    await expect(whyWhole(file, stop.signal)).rejects.toMatchObject({ code: 'interrupted' });
    clearInterval(look);
    expect(most).toBe(PIPES);
    expect((await readdir(scratch)).filter((name) => name.startsWith('goodgate-'))).toEqual([]);
  });
});

describe('which files are cut', () => {
  const facts: ClipFacts = {
    ...{ bytes: 1, modified: '2026-01-01T00:00:00.000Z', audio: [], otherStreams: [], notes: [] },
    container: {
      format: 'mov,mp4,m4a,3gp,3g2,mj2',
      durationSeconds: 40,
      startTimecode: null,
      reel: null,
      chapters: 0,
      tags: {},
    },
    video: {
      ...naiveFacts(
        {
          ...{ width: 64, height: 36, depth: 8, model: 'ycbcr', shiftX: 0, shiftY: 0, interlaced: false },
          ...{
            planes: [],
            colour: { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'narrow' },
          },
        },
        'yuv444p',
      ),
      frames: 1000,
    },
  };
  const limits = { here: 4, elsewhere: 0, leastFrames: 250 };
  const video = (change: Partial<VideoFacts>): ClipFacts => ({
    ...facts,
    video: facts.video && { ...facts.video, ...change },
  });

  it('into as many parts as are allowed and long enough', () => {
    // A second of flashes by trackers of up to two, and one frame more for the change: 3 x 25 + 1.
    expect(divideFile(facts, null, limits)).toMatchObject({
      ranges: [
        { from: 0, to: 250, lead: 0 },
        { from: 250, to: 500, lead: 76 },
        { from: 500, to: 750, lead: 76 },
        { from: 750, to: 1000, lead: 76 },
      ],
    });
    expect(divideFile(video({ frames: 749 }), null, limits)).toMatchObject({ ranges: { length: 2 } });
  });

  it('into more than there are places where others are idle, large frames too', () => {
    const many = video({ frames: 100_000 });
    const partsFor = (here: number, elsewhere: number, file = many): number => {
      const division = divideFile(file, null, { here, elsewhere, leastFrames: 250 });
      return isUndivided(division) ? 1 : division.ranges.length;
    };
    expect(partsFor(1, 3)).toBe(8);
    expect(partsFor(2, 1)).toBe(6);
    expect(partsFor(1, 1000)).toBe(64);
    expect(partsFor(1, 3, facts)).toBe(4);
    const large = { width: 3840, height: 2160, pixelFormat: 'yuv444p16le', frames: 100_000 };
    // Each of the two has room for one.
    expect(partsFor(4, 1, video(large))).toBe(4);
  });

  it.each([
    ['pictures may build on one another', video({ codec: 'h264' }), /h264/],
    ['the rate varies', video({ constantRate: false }), /varies/],
    ['the rate is unknown', video({ frameRate: null }), /rate/],
    ['the number of frames is unknown', video({ frames: null }), /number/],
    ['it is short', video({ frames: 499 }), /few/],
    ['its samples are unknown', video({ pixelFormat: 'pal8' }), /not measured/],
    ['its frames are large', video({ width: 3840, height: 2160, pixelFormat: 'yuv444p16le' }), /400 MB/],
    ['it has no index', { ...facts, container: { ...facts.container, format: 'mpegts' } }, /index/],
    ['it has no picture', { ...facts, video: null }, /no picture/],
  ])('not where %s', (_, file, why) => {
    expect(divideFile(file, null, limits)).toEqual({ reason: expect.stringMatching(why) });
  });

  it.each([
    ['Decoder a [A]:\n    General capabilities: dr1 \n    Threading capabilities: none\n', true],
    [
      'Decoder a [A]:\n    General capabilities: dr1 threads \n    Threading capabilities: frame and slice\n',
      false,
    ],
    ["Codec 'a' is not recognized by FFmpeg.\n", null],
  ])('threads of a decoder: %#', (text, expected) => {
    expect(readThreading(text)).toBe(expected);
  });

  it('through measureFile, where the decoder of this ffmpeg works on one thread', async () => {
    expect(await decodesOnOneThread('mjpeg')).toBe(true);
    expect(await decodesOnOneThread('prores')).toBe(false);
    const reasons: string[] = [];
    const onUndivided = (why: string): void => {
      reasons.push(why);
    };
    const fractions: number[] = [];
    await ffmpeg('-f', 'lavfi', '-i', 'testsrc2=s=16x16:r=25:d=20', '-c:v', 'mjpeg', path('long.mov'));
    const long = await measureFile(path('long.mov'), {
      ...{
        parallelism: { here: 2 },
        onUndivided,
        onProgress: (fraction: number) => fractions.push(fraction),
      },
    });
    expect(reasons).toEqual([]);
    expect(long.video?.frames).toBe(500);
    expect(fractions).toEqual(fractions.slice().sort((a, b) => a - b));
    expect(fractions.at(-1)).toBe(1);

    await ffmpeg('-i', path('long.mov'), '-c:v', 'prores_ks', '-pix_fmt', 'yuv422p10le', path('threads.mov'));
    await measureFile(path('threads.mov'), { parallelism: { here: 2 }, onUndivided });
    expect(reasons).toEqual([expect.stringMatching(/prores/)]);
  });
});
