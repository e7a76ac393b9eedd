import { mkdir, readdir, readFile, readlink, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import { decodesOnOneThread } from '../../../../workers/capabilities/decoder-threads.js';
import { measureFile } from '../../../../workers/measure/measure-file.js';
import { patched, u32 } from '../../../media/boxes.js';
import { temporaryFolder } from '../../../media/known-clip.js';
import { expectSame, ffmpeg, whyWhole, writeProgramme } from './parts-and-whole.js';
import { PROGRAMME_FRAMES } from './programme.js';

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
beforeAll(async () => {
  folder = await temporaryFolder();
});
afterAll(() => folder.remove());
afterEach(() => vi.unstubAllEnvs());
const path = (name: string): string => join(folder.path, name);

describe('a file measured in parts is the file measured in one go', () => {
  it('interlaced, its field order reversed behind the seam, in stamps of whole milliseconds', async () => {
    const programme = Array.from({ length: 110 }, (_, frame) =>
      frame < 55 ? 40 + (frame % 6) : 46 + (frame % 6),
    );
    const file = await writeProgramme(path('fields.mkv'), {
      ...{ rate: '30000/1001', frames: programme, sound: false },
      encode: ['-c:v', 'ffv1', '-level', '3', '-g', '1', '-field_order', 'tt'],
    });
    await expectSame(file, [95, 104]);
  });

  it.each([
    ['three frames in two parts', [30, 31, 32], [1]],
    ['as many parts as frames', [28, 29, 30, 31], [1, 2, 3]],
  ])('%s', async (what, frames, seams) => {
    const file = await writeProgramme(path(`${what}.mov`), {
      frames,
      sound: false,
      encode: ['-c:v', 'v210'],
    });
    await expectSame(file, seams);
  });

  it('a picture that begins after the sound, in a file that does not begin at 0', async () => {
    const plain = await writeProgramme(path('plain.mov'), {
      encode: ['-c:v', 'mjpeg', '-pix_fmt', 'yuvj422p'],
    });
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
    const plain = await writeProgramme(path('whole.mp4'), {
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
    const file = await writeProgramme(path(`${what}.mkv`), { encode, sound: false });
    expect(await whyWhole(file)).toMatch(why);
  });

  it('pictures that use the tables of an earlier one, which the decoder does without and keeps quiet', async () => {
    const plain = await writeProgramme(path('jpegs.mkv'), {
      ...{ sound: false },
      encode: ['-c:v', 'mjpeg', '-pix_fmt', 'yuvj422p'],
    });
    await ffmpeg('-i', plain, '-c', 'copy', '-f', 'mjpeg', path('jpegs'));
    await writeFile(path('bare'), withoutTables(await readFile(path('jpegs'))));
    await ffmpeg('-r', '5', '-f', 'mjpeg', '-i', path('bare'), '-c', 'copy', path('bare.mov'));
    expect(await whyWhole(path('bare.mov'))).toMatch(/the same frame has another/);
  });

  it('a file that is cut short', async () => {
    const file = await writeProgramme(path('long.mkv'), { sound: false });
    const bytes = await readFile(file);
    await writeFile(path('short.mkv'), bytes.subarray(0, Math.floor(bytes.length * 0.8)));
    expect(await whyWhole(path('short.mkv'))).not.toBeNull();
  });

  it('leaves nothing behind when it is interrupted', async () => {
    // Two parts, each with samples and errors; two streams of sound, and their errors.
    const PIPES = 7;
    const file = await writeProgramme(path('stopped.mov'));
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
