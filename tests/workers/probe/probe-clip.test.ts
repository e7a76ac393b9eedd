import { execFile } from 'node:child_process';
import { chmod, mkdtemp, rm, truncate, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { clipFacts } from '../../../jobs/manifest/facts.js';
import { probeClip } from '../../../workers/probe/probe-clip.js';
import { dpxFrame } from '../../media/sequences.js';

const run = promisify(execFile);
let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-probe-test-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const PICTURE = ['-f', 'lavfi', '-i', 'testsrc2=s=64x36:r=25'];
const SOUND = ['-f', 'lavfi', '-i', 'sine=r=48000'];
const TENTH = ['-frames:v', '10', '-t', '0.4'];

async function file(name: string, ...options: string[]): Promise<string> {
  const path = join(folder, name);
  await run('ffmpeg', ['-v', 'error', '-y', ...options, path]);
  return path;
}

describe('facts', () => {
  it('hold the schema, and every key the clip can fill', async () => {
    const path = await file(
      'a.mov',
      ...PICTURE,
      ...SOUND,
      ...TENTH,
      ...['-c:v', 'prores_ks', '-pix_fmt', 'yuv422p10le', '-c:a', 'pcm_s24le'],
      ...['-timecode', '10:00:00:00', '-metadata:s:v:0', 'reel_name=A001R1'],
      ...['-color_primaries', 'bt709', '-color_trc', 'bt709', '-colorspace', 'bt709'],
    );
    const facts = await probeClip(path);
    expect(clipFacts.parse(facts)).toEqual(facts);
    expect(facts).toMatchObject({
      container: { format: 'mov,mp4,m4a,3gp,3g2,mj2', startTimecode: '10:00:00:00', reel: 'A001R1' },
      video: {
        codec: 'prores',
        frameRate: '25/1',
        constantRate: true,
        scan: 'progressive',
        frames: 10,
        framesFrom: 'container',
        bitDepth: 10,
        chroma: '4:2:2',
        displayAspect: '16/9',
        rotation: 0,
      },
      audio: [{ codec: 'pcm_s24le', channels: 1, sampleRate: 48000, bitDepth: 24 }],
      otherStreams: [{ kind: 'timecode' }],
      notes: [],
    });
  });

  it('count packets where the container declares no frames', async () => {
    const path = await file('b.mkv', ...PICTURE, '-frames:v', '10', '-c:v', 'ffv1');
    expect((await probeClip(path)).video).toMatchObject({
      frames: 10,
      framesFrom: 'packets',
      constantRate: true,
    });
  });

  it('keep container and bitstream apart, and say where they contradict', async () => {
    const path = await file(
      'layers.mp4',
      ...PICTURE,
      ...['-frames:v', '5', '-c:v', 'libx264', '-pix_fmt', 'yuv420p'],
      ...['-color_primaries', 'bt709', '-color_trc', 'bt709', '-colorspace', 'bt709'],
      ...['-bsf:v', 'h264_metadata=colour_primaries=9:transfer_characteristics=16:matrix_coefficients=9'],
    );
    const facts = await probeClip(path);
    // Code points 9, 16 and 9 of ITU-T H.273: BT.2020, PQ, BT.2020 non-constant luminance.
    expect(facts.video?.colourByLayer).toMatchObject({
      container: { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709' },
      bitstream: { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc' },
    });
    expect(facts.video?.colour.transfer).toBe('smpte2084');
    expect(facts.notes.filter((note) => note.startsWith('colour '))).toHaveLength(3);
  });

  it('say nothing of colour where nothing is said', async () => {
    const path = await file(
      'untagged.mkv',
      ...PICTURE,
      '-frames:v',
      '3',
      '-c:v',
      'libx264',
      '-pix_fmt',
      'yuv422p',
    );
    const { video } = await probeClip(path);
    expect(video?.colour).toMatchObject({ primaries: null, transfer: null, matrix: null });
  });

  it('of sound alone, with and without a cover picture', async () => {
    const wav = await file('s.wav', ...SOUND, '-t', '0.2', '-c:a', 'pcm_s16le');
    expect(await probeClip(wav)).toMatchObject({ video: null, audio: [{ bitDepth: 16, channels: 1 }] });
    const cover = await file('cover.png', ...PICTURE, '-frames:v', '1');
    const song = await file(
      'song.m4a',
      ...['-i', wav, '-i', cover, '-map', '0', '-map', '1', '-c:a', 'aac', '-c:v', 'copy'],
      ...['-disposition:v:0', 'attached_pic'],
    );
    expect(await probeClip(song)).toMatchObject({ video: null, otherStreams: [{ kind: 'cover' }] });
  });

  it.each(['still.png', 'still.tif', 'still.dpx', 'pattern%03d.png'])(
    'of a still picture: %s',
    async (name) => {
      const path = join(folder, name);
      await run('ffmpeg', [
        '-v',
        'error',
        '-y',
        ...PICTURE,
        '-frames:v',
        '1',
        '-update',
        '1',
        join(folder, `x-${name.replace('%', '')}`),
      ]);
      await run('mv', [join(folder, `x-${name.replace('%', '')}`), path]);
      const facts = await probeClip(path);
      expect(facts.video).toMatchObject({
        frames: 1,
        frameRate: null,
        constantRate: null,
        durationSeconds: null,
      });
      expect(facts.notes).toContain('it is a still picture');
    },
  );

  // SMPTE ST 268-1:2014, table 3B: 2 is linear, which programs write for any curve; 6 is ITU-R BT.709.
  it.each([
    [2, null],
    [6, 'bt709'],
  ])('of a single DPX as of a frame of a sequence: transfer %s', async (code, transfer) => {
    const frame = dpxFrame({ width: 64, height: 36, code: 500 });
    frame.writeUInt8(code, 801);
    const path = join(folder, `single-${code}.dpx`);
    await writeFile(path, frame);
    expect((await probeClip(path)).video?.colour.transfer).toBe(transfer);
  });

  it('of the depth that is coded, not of the container format around it', async () => {
    const path = await file('deep.mkv', ...PICTURE, '-frames:v', '2', '-c:v', 'ffv1', '-pix_fmt', 'gbrp12le');
    expect((await probeClip(path)).video).toMatchObject({
      bitDepth: 12,
      chroma: '4:4:4',
      pixelFormat: 'gbrp12le',
    });
  });

  it('of a rate that is not constant', async () => {
    const path = await file(
      'vfr.mp4',
      ...[
        '-f',
        'lavfi',
        '-i',
        'testsrc2=s=64x36:r=25',
        '-vf',
        "setpts='if(gt(N,20),PTS+(N-20)*0.013/TB,PTS)'",
      ],
      ...[
        '-fps_mode',
        'vfr',
        '-enc_time_base',
        '1/12800',
        '-frames:v',
        '60',
        '-c:v',
        'libx264',
        '-pix_fmt',
        'yuv420p',
      ],
    );
    const facts = await probeClip(path);
    expect(facts.video?.constantRate).toBe(false);
    expect(facts.notes).toContain('its frame rate is not constant');
  });
});

describe('what cannot be read', () => {
  it.each<[string, () => Promise<string>, string, RegExp]>([
    ['nothing there', async () => join(folder, 'none.mov'), 'missing-file', /no such file/],
    ['a folder', async () => folder, 'unreadable-clip', /folder/],
    ['an empty file', () => text('empty.mov', ''), 'unreadable-clip', /empty/],
    ['text', () => text('text.mkv', 'to be or not to be'), 'unreadable-clip', /no picture or sound/],
    [
      'a playlist',
      () => text('list.mov', 'ffconcat version 1.0\nfile a.mov\n'),
      'unreadable-clip',
      /not a clip/,
    ],
    ['a copy cut short', cutShort, 'unreadable-clip', /cut short/],
  ])('%s', async (_, make, code, what) => {
    await expect(probeClip(await make())).rejects.toMatchObject({ code, what: expect.stringMatching(what) });
  });

  async function text(name: string, content: string): Promise<string> {
    const path = join(folder, name);
    await writeFile(path, content);
    return path;
  }
  async function cutShort(): Promise<string> {
    const path = await file('cut.mov', ...PICTURE, '-frames:v', '10', '-c:v', 'ffv1');
    await truncate(path, 8000);
    return path;
  }

  it('a named pipe is not waited for', async () => {
    const path = join(folder, 'pipe.mov');
    await run('mkfifo', [path]);
    await expect(probeClip(path)).rejects.toMatchObject({ code: 'unreadable-clip' });
  });
});

describe('an ffprobe that', () => {
  const fake = async (script: string) => {
    const path = join(folder, `ffprobe-${Math.random().toString(36).slice(2)}`);
    await writeFile(path, `#!/bin/sh\n${script}\n`);
    await chmod(path, 0o755);
    return path;
  };
  const clip = async () => {
    const path = join(folder, 'some.mov');
    await writeFile(path, 'x');
    return path;
  };

  it.each([
    ['hangs', 'exec sleep 60', 'ffmpeg-timeout', /too long/],
    ['floods', 'yes 0123456789012345678901234567890123456789', 'probe-failed', /printed more/],
    ['answers nonsense', 'echo "{"', 'probe-failed', /form/],
    ['answers another form', 'echo "{\\"streams\\": 7}"', 'probe-failed', /form/],
    ['crashes', 'kill -SEGV $$', 'ffmpeg-failed', /SIGSEGV/],
    ['ends without a word', 'exit 1', 'ffmpeg-failed', /no reason/],
    ['has no memory', 'echo "x: Cannot allocate memory" >&2; exit 1', 'ffmpeg-failed', /no memory/],
    ['gives its own reason', 'echo "[mov @ 0x1] a reason" >&2; exit 1', 'unreadable-clip', /a reason/],
  ])('%s', async (_, script, code, what) => {
    const options = { tools: { ffprobe: await fake(script) }, timeoutMs: 5000 };
    if (script.startsWith('exec')) options.timeoutMs = 300;
    await expect(probeClip(await clip(), options)).rejects.toMatchObject({
      code,
      what: expect.stringMatching(what),
    });
  });

  it.each([
    ['crashes', 'kill -SEGV $$'],
    ['says that it is no clip', 'echo "a reason" >&2; exit 1'],
  ])('%s once is asked again', async (_, script) => {
    const once = `[ -e "$0.seen" ] && exec ffprobe "$@"; touch "$0.seen"; ${script}`;
    const facts = await probeClip(await file('whole.mkv', ...PICTURE, ...TENTH, '-c:v', 'ffv1'), {
      tools: { ffprobe: await fake(once) },
    });
    expect(facts.video).toMatchObject({ width: 64, height: 36 });
  });

  it('crashes once, and then says that it is no clip, has not said so twice', async () => {
    const script = '[ -e "$0.seen" ] && { echo "a reason" >&2; exit 1; }; touch "$0.seen"; kill -SEGV $$';
    const asked = probeClip(await clip(), { tools: { ffprobe: await fake(script) } });
    await expect(asked).rejects.toMatchObject({ code: 'ffmpeg-failed' });
  });

  it('is not there', async () => {
    await expect(probeClip(await clip(), { tools: { ffprobe: '/nowhere/ffprobe' } })).rejects.toMatchObject({
      code: 'missing-tool',
    });
  });

  it('is stopped on abort', async () => {
    const options = { tools: { ffprobe: await fake('exec sleep 60') }, signal: AbortSignal.timeout(100) };
    await expect(probeClip(await clip(), options)).rejects.toMatchObject({ code: 'interrupted' });
  });
});
