import { readFile, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { outputRate } from '../../../planner/frame-rate.js';
import { formatRational } from '../../../signal/rational.js';
import { evenRate } from '../../../workers/make/picture-chain.js';
import { probeClip } from '../../../workers/probe/probe-clip.js';
import { contentOf, fullBox, u16, u32, withBoxReplaced } from '../../media/boxes.js';
import { fieldCodedH264 } from '../../media/field-coded.js';
import { temporaryFolder } from '../../media/known-clip.js';
import { measureFile } from '../../media/measure-file.js';

/**
 * Headers, measurement and plan tell one rate and one number of frames, of files whose averages tell another.
 */
const folder = await temporaryFolder();
afterAll(folder.remove);
const path = (name: string): string => join(folder.path, name);

async function make(name: string, ...args: readonly string[]): Promise<string> {
  await execa('ffmpeg', ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...args, path(name)]);
  return path(name);
}
async function told(file: string) {
  const facts = await probeClip(file);
  const { video, decode } = await measureFile(file, { facts });
  const out = facts.video && outputRate(facts.video, 'source');
  return {
    scan: [facts.video?.frameRate, facts.video?.constantRate, facts.video?.frames],
    measure: [video?.frameRate, video?.constantRate, video?.frames],
    plan: out && formatRational(out),
    truncated: decode.truncated,
  };
}
const same = (rate: string, constant: boolean, frames: number, plan = rate) => ({
  scan: [rate, constant, frames],
  measure: [rate, constant, frames],
  plan,
  truncated: false,
});

/** Pictures of an output at the rate of the plan, by its own filters, and how many of them differ. */
async function picturesMade(file: string) {
  const { video } = await probeClip(file);
  const rate = video && outputRate(video, 'source');
  if (!video || !rate) throw new Error('no rate');
  const filters = evenRate(video, { frameRate: formatRational(rate) }).join(',');
  const { stdout } = await execa('ffmpeg', [
    '-v',
    'error',
    '-i',
    file,
    '-vf',
    filters,
    '-f',
    'framemd5',
    '-',
  ]);
  const pictures = stdout.split('\n').filter((line) => !line.startsWith('#'));
  return { frames: pictures.length, seen: new Set(pictures.map((line) => line.split(',').at(-1))).size };
}

const PICTURE = ['-f', 'lavfi', '-i', 'testsrc2=s=64x64:r=25:d=2', '-pix_fmt', 'yuv420p'];
const H264 = ['-c:v', 'libx264', '-preset', 'ultrafast', '-g', '25', '-bf', '2'];

beforeAll(async () => {
  await writeFile(path('fields.264'), fieldCodedH264(13, 25));
  await make('long.mp4', ...PICTURE, ...H264);
  await make('plain.mov', ...PICTURE, '-frames:v', '11', '-c:v', 'prores_ks');
});

describe('fields that are coded apart', () => {
  it.each(['ts', 'mp4', 'mkv', 'mxf'])('two packets of %s are one picture', async (container) => {
    const file = await make(`fields.${container}`, '-r', '50', '-i', path('fields.264'), '-c', 'copy');
    expect(await told(file)).toEqual(same('25/1', true, 13));
  });

  it('are counted in a stream without times', async () => {
    const { video } = await probeClip(path('fields.264'));
    expect(video).toMatchObject({ frames: 13, framesFrom: 'packets' });
  });
});

describe('samples and times around the frames', () => {
  it.each(['mp4', 'mov'])('what an edit list hides before a cut is not counted: %s', async (container) => {
    // From 0.5 s: frame 12 began before, 13 to 49 are shown; all from the key frame at 0 on are in the file.
    const file = await make(`cut.${container}`, '-ss', '0.5', '-i', path('long.mp4'), '-c', 'copy');
    expect(await told(file)).toEqual(same('25/1', true, 37));
  });

  it('a last frame that stays changes no rate', async () => {
    const file = await readFile(path('plain.mov'));
    const track = ['moov', 'trak', 'mdia', 'minf', 'stbl', 'stts'];
    const delta = file.readUInt32BE(contentOf(file, 'stts') + 12);
    // 10 frames of 1/25 s and one of 6/25 s: 16/25 s of 11 frames, 275/16 a second on average.
    const stts = fullBox('stts', 0, u32(2, 10, delta, 1, 6 * delta));
    await writeFile(path('stays.mov'), withBoxReplaced(file, track, stts));
    expect(await told(path('stays.mov'))).toEqual(same('25/1', true, 11));
    expect((await measureFile(path('stays.mov'))).video?.durationSeconds).toBeCloseTo(16 / 25, 6);
  });

  it('a cut in the edit list leaves the rate most frames have, and every frame its place', async () => {
    const file = await readFile(path('plain.mov'));
    const scale = file.readUInt32BE(contentOf(file, 'mdhd') + 12);
    const frame = scale / 25;
    // Five and a half frames, then from frame 6 on: frame 5 is shown for half its time.
    const elst = fullBox('elst', 0, u32(2, 220, 0), u16(1, 0), u32(200, 6 * frame), u16(1, 0));
    await writeFile(path('list.mov'), withBoxReplaced(file, ['moov', 'trak', 'edts', 'elst'], elst));
    expect(await told(path('list.mov'))).toEqual(same('25/1', false, 11));
    expect(await picturesMade(path('list.mov'))).toEqual({ frames: 11, seen: 11 });
  });

  it("a phone's clock, 0.2 per cent off and back, is no broken rate", async () => {
    const clock = 'settb=1/90000,setpts=N*3000+trunc(12*(random(1)-0.5))';
    const source = ['-f', 'lavfi', '-i', `testsrc2=s=64x64:r=30:d=2,${clock}`];
    const times = [
      '-fps_mode',
      'passthrough',
      '-enc_time_base',
      '1/90000',
      '-video_track_timescale',
      '90000',
    ];
    const file = await make('phone.mp4', ...source, ...times, ...H264);
    expect(await told(file)).toEqual(same('30/1', true, 60));
    // Its last frame lasts one tick of 90,000: ffmpeg by itself would drop it.
    expect(await picturesMade(file)).toEqual({ frames: 60, seen: 60 });
  });
});
