import { writeFile } from 'node:fs/promises';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { comparison } from '../../jobs/comparison/comparison.js';
import { temporaryFolder } from '../media/known-clip.js';
import { runCommand } from './run-command.js';

let folder: Awaited<ReturnType<typeof temporaryFolder>>;
const at = (name: string): string => `${folder.path}/${name}`;
const ffmpeg = (...args: string[]) =>
  execa('ffmpeg', ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...args], { stdin: 'ignore' });

beforeAll(async () => {
  folder = await temporaryFolder();
  await ffmpeg(
    ...['-f', 'lavfi', '-i', 'testsrc2=s=128x72:r=25,noise=alls=8:all_seed=1:allf=t'],
    ...['-f', 'lavfi', '-i', 'anoisesrc=c=pink:a=0.3:seed=4:r=48000', '-frames:v', '30', '-shortest'],
    ...[
      '-pix_fmt',
      'yuv422p10le',
      '-c:v',
      'ffv1',
      '-c:a',
      'pcm_s24le',
      '-timecode',
      '10:00:00:00',
      at('original.mov'),
    ],
  );
  await ffmpeg(
    ...['-i', at('original.mov')],
    ...['-c:v', 'prores_ks', '-profile:v', 'hq', '-c:a', 'copy', at('coded.mov')],
    ...[
      '-vf',
      'hflip,trim=end_frame=29',
      '-af',
      'adelay=delays=5S:all=1',
      '-c:v',
      'ffv1',
      '-c:a',
      'pcm_s24le',
    ],
    ...['-timecode', '10:00:00:01', at('wrong.mov')],
    ...['-an', '-c:v', 'ffv1', '-timecode', '10:00:00:00', at('silent.mov')],
  );
});
afterAll(() => folder.remove());

describe('compare', () => {
  it('a file with itself: every bit, every frame, every sample', async () => {
    const { out, code } = await runCommand('compare', at('original.mov'), at('original.mov'));
    expect(code).toBe(0);
    expect(out).toContain('Precision: 10 of 10 bits kept');
    expect(out).toContain('Y  identical');
    expect(out).toContain('Sound stream 1: in step to the sample');
  });

  it('loss by coding is told and is no mistake; PSNR agrees with the RMS error of our own', async () => {
    const { out, code } = await runCommand('compare', at('original.mov'), at('coded.mov'), '--json');
    expect(code).toBe(0);
    const { picture, whole, unmeasured } = comparison.parse(JSON.parse(out));
    expect(unmeasured).toEqual([]);
    expect(picture?.mistake).toBeNull();
    expect(picture?.bitsKept).toBeLessThan(9);
    for (const { plane, psnr } of whole?.planes ?? []) {
      const own = picture?.planes.find((each) => each.plane === plane)?.rmsError ?? 0;
      // PSNR = 20 lg (peak / RMS error); three frames stand for thirty.
      expect(Math.abs((psnr ?? 0) - 20 * Math.log10(1023 / own)), plane).toBeLessThan(0.5);
    }
  });

  it('a mirrored copy, a frame short, with another timecode and late sound', async () => {
    const { out, code } = await runCommand('compare', at('original.mov'), at('wrong.mov'));
    expect(code).toBe(1);
    expect(out).toContain("29 frames of the original's 30");
    expect(out).toContain("timecode 10:00:00:01, the original's is 10:00:00:00");
    expect(out).toContain('FAIL: Precision kept: mirrored: left and right are exchanged');
    expect(out).toContain('FAIL: Sound of the original: stream 1: offset: 5 samples late (0.10 ms)');
  });

  it('sound that is missing is a difference; what was added cannot be compared, and is no pass', async () => {
    const { out, code } = await runCommand('compare', at('original.mov'), at('silent.mov'));
    expect(code).toBe(1);
    expect(out).toContain('FAIL: Sound of the original: no sound, the original has some');
    const added = await runCommand('compare', at('silent.mov'), at('original.mov'));
    expect(added.code).toBe(3);
    expect(added.out).toContain('stream 1: the original has no such stream');
  });

  it('a width at which packed lines are not aligned, 4:2:2 against 4:4:4', async () => {
    const noise = 'testsrc2=s=160x90:r=25,noise=alls=8:all_seed=1:allf=t';
    await ffmpeg(
      ...['-f', 'lavfi', '-i', noise, '-frames:v', '3', '-pix_fmt', 'yuv422p10le', '-c:v', 'ffv1'],
      at('narrow.mov'),
    );
    await ffmpeg('-i', at('narrow.mov'), '-pix_fmt', 'yuv444p12le', '-c:v', 'ffv1', at('full-chroma.mov'));
    const { out } = await runCommand('compare', at('narrow.mov'), at('full-chroma.mov'));
    expect(out).toMatch(/Precision: .* of 10 bits kept/);
  });

  it('the lead-in of a coder in a container without edit lists is no offset', async () => {
    await ffmpeg('-i', at('original.mov'), '-c:v', 'copy', '-c:a', 'aac', at('lead-in.mkv'));
    const { out, code } = await runCommand('compare', at('original.mov'), at('lead-in.mkv'));
    expect(out).toMatch(/UNMEASURED: Sound of the original: .*1024 samples late cannot be told/);
    expect(out).not.toContain('Mistake');
    expect(code).not.toBe(0);
  });

  it('frames that are sought in Matroska, whose stamps are whole milliseconds', async () => {
    // Past 40 s frames are sought, and at 24 a second two stamps of them fell together.
    const picture = 'testsrc2=s=64x36:r=24:d=50';
    await ffmpeg('-f', 'lavfi', '-i', picture, '-c:v', 'ffv1', at('minute.mov'));
    await ffmpeg('-i', at('minute.mov'), '-c', 'copy', at('minute.mkv'));
    const { out, code } = await runCommand('compare', at('minute.mov'), at('minute.mkv'));
    expect(out).toContain('Precision: 8 of 8 bits kept');
    expect(code).toBe(0);
  });

  it('sound alone is compared as such', async () => {
    for (const [name, filter] of [
      ['a.wav', 'anull'],
      ['b.wav', 'adelay=delays=5S:all=1'],
    ] as const) {
      await ffmpeg('-i', at('original.mov'), '-vn', '-af', filter, '-c:a', 'pcm_s24le', at(name));
    }
    const same = await runCommand('compare', at('a.wav'), at('a.wav'));
    expect(same.code).toBe(0);
    expect(same.out).not.toMatch(/Frames|Not compared|UNMEASURED/);
    const late = await runCommand('compare', at('a.wav'), at('b.wav'));
    expect(late.code).toBe(1);
    expect(late.out).toContain('FAIL: Sound of the original: stream 1: offset: 5 samples late (0.10 ms)');
    // A picture that only one of them has is a difference, and no reason to compare nothing.
    const without = await runCommand('compare', at('original.mov'), at('a.wav'));
    expect(without.code).toBe(1);
    expect(without.out).toContain('no picture, the original has one');
  });

  it('lists where a master and the version before differ, as places', async () => {
    const version = at('version.mov');
    await ffmpeg(
      ...['-i', at('original.mov'), '-vf', "lutyuv=y=700:enable='between(n,12,14)'"],
      ...['-af', "asetnsamples=480,volume=0:enable='between(t,0.5,0.6999)'"],
      ...['-c:v', 'ffv1', '-c:a', 'pcm_s24le', '-timecode', '10:00:00:00', version],
    );
    const { out, code } = await runCommand('compare', at('original.mov'), version, '--json');
    expect(code).toBe(1);
    const { order, sound } = comparison.parse(JSON.parse(out));
    expect(order?.apart).toEqual([
      { from: 12, to: 15, fromTimecode: '10:00:00:12', toTimecode: '10:00:00:15', shows: null },
    ]);
    // 0.5 s are 12.5 frames.
    expect(sound[0]?.places).toEqual([{ fromSeconds: 0.5, toSeconds: 0.7, fromTimecode: '10:00:00:12' }]);
    const { out: text } = await runCommand('compare', at('original.mov'), version);
    expect(text).toContain('in frame 12 to 14 (10:00:00:12)');
    expect(text).toContain('silent from 0.500 to 0.700 s');
  });

  it.each([
    // `info` is the level at which goodgate asks for the log: its other calls pass.
    [
      'ended by a signal',
      'case "$*" in *framecrc*) kill -TERM $$;; esac; exec ffmpeg "$@"',
      'was ended by SIGTERM',
    ],
    [
      'that stops after ten frames and says nothing',
      // biome-ignore lint/suspicious/noTemplateCurlyInString: the shell's, not ours
      'args=("$@"); case "$*" in *framecrc*) args=(-t 0.4 "$@");; esac; exec ffmpeg "${args[@]}"',
      'stopped after 10 of 30 frames',
    ],
  ])('ffmpeg %s is a fault of the world, not frames that are missing', async (_, script, what) => {
    await writeFile(at('ffmpeg'), `#!/bin/bash\n${script}\n`, { mode: 0o755 });
    process.env['GOODGATE_FFMPEG'] = at('ffmpeg');
    try {
      await expect(runCommand('compare', at('original.mov'), at('coded.mov'))).rejects.toMatchObject({
        ...{ code: 'ffmpeg-failed', family: 'world', message: expect.stringContaining(what) },
      });
    } finally {
      delete process.env['GOODGATE_FFMPEG'];
    }
  });

  it('a missing file is a wrong request', async () => {
    await expect(runCommand('compare', at('original.mov'), at('none.mov'))).rejects.toMatchObject({
      ...{ code: 'missing-file', family: 'request' },
    });
  });

  it.each([
    // Of every ten frames the first two.
    [
      'swapped',
      "shuffleframes='1 0 2 3 4 5 6 7 8 9'",
      1,
      'in frame 0 (10:00:00:00) showing frame 1, 1 (10:00:00:01)',
    ],
    ['replaced', "lutyuv=y=700:enable='between(n,12,14)'", 1, 'in frame 12 to 14 (10:00:00:12)'],
  ])('frames that were %s are named, however good the rest', async (name, filter, expected, place) => {
    const copy = at(`${name}.mov`);
    await ffmpeg(
      ...[
        '-i',
        at('original.mov'),
        '-vf',
        filter,
        '-c:v',
        'ffv1',
        '-c:a',
        'copy',
        '-timecode',
        '10:00:00:00',
      ],
      copy,
    );
    const { out, code } = await runCommand('compare', at('original.mov'), copy);
    expect(code).toBe(expected);
    expect(out).toContain(place);
  });
});
