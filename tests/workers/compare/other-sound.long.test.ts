import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { compareSound } from '../../../workers/compare/sound/compare-sound.js';
import { probeClip } from '../../../workers/probe/probe-clip.js';

/** Speech-like: noise in syllables, a gap of near silence at 2 s, a start out of silence. */
const SYLLABLES =
  'anoisesrc=c=pink:a=0.5:seed=3:r=48000:d=4,' +
  "volume='if(lt(t,0.25),0,if(between(t,2,2.3),0.0005,0.1+0.9*gt(mod(t,0.37),0.18)))':eval=frame," +
  'aformat=channel_layouts=mono,asplit[a][b];[b]adelay=7,volume=0.7[c];[a][c]join=inputs=2:channel_layout=stereo';
const STEADY = 'anoisesrc=a=0.3:seed=4:r=48000:d=2,aformat=channel_layouts=mono';

let folder = '';
const at = (name: string): string => join(folder, name);
const ffmpeg = (...args: string[]) =>
  execa('ffmpeg', ['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...args], { stdin: 'ignore' });

beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-sound-'));
  await ffmpeg('-filter_complex', `${SYLLABLES}[o]`, '-map', '[o]', '-c:a', 'pcm_s24le', at('speech.mov'));
  await ffmpeg('-f', 'lavfi', '-i', STEADY, '-c:a', 'pcm_s24le', at('steady.mov'));
  const tone = 'sine=frequency=1000:sample_rate=48000:duration=2';
  await ffmpeg('-f', 'lavfi', '-i', tone, '-c:a', 'pcm_s24le', at('tone.mov'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

async function compared(original: string, copy: string, pair = { original: 0, copy: 0 }) {
  const options = { scratch: folder, tools: undefined, signal: undefined };
  const [had, is] = await Promise.all(
    [original, copy].map(async (name) => ({
      ...{ path: at(name), facts: await probeClip(at(name)), colour: null, frames: 0 },
    })),
  );
  if (had === undefined || is === undefined) throw new Error('no files');
  return compareSound(had, is, pair, options);
}

const mute = (from: number, to: number): string => `volume=0:enable='between(t,${from},${to})'`;

/** Of noise cut at whole windows the place is known; the times are those of the filter. */
const CHANGED: readonly (readonly [string, string, string, readonly string[], string])[] = [
  ['muted', 'steady.mov', 'atrim=0:2', ['-c:a', 'pcm_s24le', 'x.mov'], 'from 1.500 to 1.900 s'],
  ['muted, of a tone', 'tone.mov', 'atrim=0:2', ['-c:a', 'pcm_s24le', 'x.mov'], 'from 1.500 to 1.900 s'],
  [
    'muted, then coded',
    'steady.mov',
    'atrim=0:2',
    ['-c:a', 'aac', '-b:a', '192k', 'x.m4a'],
    'from 1.500 to 1.900 s',
  ],
];

describe('sound that is not that of the original', () => {
  it.each(CHANGED)('%s', async (_, original, before, [...options], place) => {
    const name = options.pop() ?? '';
    // One sample less than 1.9 s: `between` has both ends.
    const filter = `${before},asetnsamples=480,${mute(1.5, 1.8999)}`;
    await ffmpeg('-i', at(original), '-af', filter, ...options, at(name));
    const { found, unknown } = await compared(original, name);
    expect(found?.mistakes).toEqual([{ name: 'muted', detail: `silent ${place}` }]);
    expect(found?.offsetSamples).toBe(0);
    expect(unknown).toEqual([]);
  });

  it('other noise of the same level', async () => {
    const other = `anoisesrc=a=0.3:seed=9:r=48000:d=2,atrim=0.8:1.2,asetpts=N/SR/TB`;
    await ffmpeg(
      ...['-i', at('steady.mov'), '-filter_complex'],
      `[0:a]asplit[a][b];[a]atrim=0:0.8,asetpts=N/SR/TB[x];[b]atrim=1.2,asetpts=N/SR/TB[y];` +
        `${other},aformat=channel_layouts=mono[z];[x][z][y]concat=n=3:v=0:a=1[o]`,
      ...['-map', '[o]', '-c:a', 'pcm_s24le', at('other.mov')],
    );
    const { found } = await compared('steady.mov', 'other.mov');
    expect(found?.mistakes).toEqual([{ name: 'other-sound', detail: 'sound differs from 0.800 to 1.200 s' }]);
  });

  it('other sound throughout, and a stream that is missing', async () => {
    const other = 'anoisesrc=a=0.3:seed=9:r=48000:d=2,aformat=channel_layouts=mono';
    await ffmpeg('-f', 'lavfi', '-i', other, '-c:a', 'aac', at('other.m4a'));
    const { found, unknown } = await compared('steady.mov', 'other.m4a');
    const detail = 'none of it is the sound of the original';
    expect(found?.mistakes).toEqual([{ name: 'other-sound', detail }]);
    expect(unknown).toEqual([]);
    const twice = ['-i', at('steady.mov'), '-map', '0', '-map', '0', '-c', 'copy', at('twice.mov')];
    await ffmpeg(...twice);
    const second = { original: 1, copy: 1 };
    const missing = await compared('twice.mov', 'steady.mov', second);
    expect(missing.found?.mistakes.map(({ name }) => name)).toEqual(['missing']);
    // Two mono streams joined to one: their sound is there.
    expect(await compared('twice.mov', 'speech.mov', second)).toMatchObject({ found: null });
    expect(await compared('steady.mov', 'twice.mov', second)).toMatchObject({ found: null });
  });

  it('sound that came where there was none', async () => {
    await ffmpeg('-i', at('speech.mov'), '-af', mute(2.5, 3.3999), '-c:a', 'pcm_s24le', at('gap.mov'));
    const { found } = await compared('gap.mov', 'speech.mov');
    expect(found?.mistakes.map(({ name }) => name)).toEqual(['other-sound']);
  });

  it('a channel that is silent in the copy', async () => {
    await ffmpeg(
      '-i',
      at('speech.mov'),
      '-af',
      'pan=stereo|c0=c0|c1=0*c0',
      '-c:a',
      'pcm_s24le',
      at('one.mov'),
    );
    const { found } = await compared('speech.mov', 'one.mov');
    expect(found?.mistakes.map(({ name }) => name)).toEqual(['muted']);
  });

  it('sound that ends too early, and sound that goes on', async () => {
    await ffmpeg('-i', at('steady.mov'), '-t', '1.25', '-c:a', 'pcm_s24le', at('short.mov'));
    // The window in which the shorter ends is not compared.
    const detail = 'sound differs from 1.300 to 2.000 s';
    for (const [a, b] of [
      ['steady.mov', 'short.mov'],
      ['short.mov', 'steady.mov'],
    ] as const)
      expect((await compared(a, b)).found?.mistakes).toEqual([{ name: 'other-sound', detail }]);
  });

  it('sound too short to be compared is unknown', async () => {
    for (const seed of [1, 2]) {
      const noise = `anoisesrc=d=0.02:r=48000:c=pink:a=0.3:seed=${seed}`;
      await ffmpeg('-f', 'lavfi', '-i', noise, '-c:a', 'pcm_s24le', at(`short-${seed}.wav`));
    }
    const { found, unknown } = await compared('short-1.wav', 'short-2.wav');
    expect(found).toBeNull();
    expect(unknown).toEqual(['it is too short to be compared: less than 0.1 s of both']);
  });

  it('silence compared with itself is the same', async () => {
    await ffmpeg('-f', 'lavfi', '-i', 'anullsrc=r=48000:d=1', '-c:a', 'pcm_s16le', at('silent.wav'));
    const { found, unknown } = await compared('silent.wav', 'silent.wav');
    expect(found).toMatchObject({ offsetSamples: 0, gainDb: 0, mistakes: [] });
    expect(unknown).toEqual([]);
  });
});

describe('single samples, short holes and quiet sounds', () => {
  /** One sample at 1.02 s, of so much; the rest as it is. */
  const click = (value: string): string => `aeval='if(eq(n,48960),${value},val(0))':c=same`;
  it.each([
    ['a click of one sample', click('0.9'), ['-c:a', 'pcm_s24le', 'y.mov']],
    ['a quiet click, at 16 bits', click('val(0)+0.003'), ['-c:a', 'pcm_s16le', 'y.mov']],
    ['a sample that is gone', click('0'), ['-c:a', 'flac', 'y.flac']],
    ['a hole of 83 ms', mute(1.03, 1.113), ['-c:a', 'pcm_s24le', 'y.mov']],
    ['a hole of 1 ms in the last of it', 'volume=0:enable=gte(t\\,1.97)', ['-c:a', 'pcm_s24le', 'y.mov']],
    ['a hole of 83 ms, then coded', mute(1.03, 1.113), ['-c:a', 'aac', '-b:a', '192k', 'y.m4a']],
    [
      'a hole of 83 ms over two windows, then coded',
      mute(1.06, 1.143),
      ['-c:a', 'aac', '-b:a', '128k', 'y.m4a'],
    ],
  ] as const)('%s', async (_, filter, [...options]) => {
    const name = options.pop() ?? '';
    await ffmpeg('-i', at('steady.mov'), '-af', `asetnsamples=48,${filter}`, ...options, at(name));
    const { found } = await compared('steady.mov', name);
    expect(found?.mistakes.length).toBeGreaterThan(0);
    for (const { name } of found?.mistakes ?? []) expect(['muted', 'other-sound']).toContain(name);
  });

  it('very quiet other sound is not muted', async () => {
    const quiet = 'anoisesrc=a=0.001:seed=9:r=48000:d=2,aformat=channel_layouts=mono';
    await ffmpeg('-f', 'lavfi', '-i', quiet, '-c:a', 'pcm_s24le', at('quiet.mov'));
    const { found } = await compared('steady.mov', 'quiet.mov');
    expect(found?.mistakes.map(({ name }) => name)).toEqual(['other-sound']);
  });

  it.each([
    ['900 ms late', 'adelay=43200S:all=1,atrim=end_sample=96000', 43_200],
    ['900 ms early', 'atrim=start_sample=43200,asetpts=N/SR/TB', -43_200],
  ])('%s is not muted', async (_, filter, offset) => {
    await ffmpeg('-i', at('steady.mov'), '-af', filter, '-c:a', 'pcm_s24le', at('far.mov'));
    const { found } = await compared('steady.mov', 'far.mov');
    expect(found?.offsetSamples).toBe(offset);
    expect(found?.mistakes.map(({ name }) => name)).toEqual(['offset']);
  });
});

const CODED: readonly (readonly [string, ...string[]])[] = [
  ['16bit.mov', '-c:a', 'pcm_s16le'],
  ['same.flac', '-c:a', 'flac'],
  ['aac256.m4a', '-c:a', 'aac', '-b:a', '256k'],
  ['aac96.m4a', '-c:a', 'aac', '-b:a', '96k'],
  ['ac3.mka', '-c:a', 'ac3', '-b:a', '192k'],
  ['opus96.mka', '-c:a', 'libopus', '-b:a', '96k'],
  ['44100.wav', '-ar', '44100'],
  ['mp3.mka', '-c:a', 'libmp3lame', '-b:a', '192k'],
  ['lower.wav', '-af', 'volume=-6dB'],
];

describe('late sound is no other sound', () => {
  it.each(['adelay=700S:all=1', 'adelay=700S:all=1,atrim=end_sample=96000', 'atrim=start_sample=700'])(
    '%s',
    async (filter) => {
      await ffmpeg(
        '-i',
        at('steady.mov'),
        '-af',
        `${filter},asetpts=N/SR/TB`,
        '-c:a',
        'pcm_s24le',
        at('late.mov'),
      );
      const { found } = await compared('steady.mov', 'late.mov');
      expect(found?.mistakes.map(({ name }) => name)).toEqual(['offset']);
    },
  );
});

describe('sound that only lost what coding costs', () => {
  it.each(CODED)('%s', async (name, ...options) => {
    await ffmpeg('-i', at('speech.mov'), ...options, at(name));
    const { found, unknown } = await compared('speech.mov', name);
    expect(found?.mistakes.map((mistake) => mistake.name)).toEqual(name === 'lower.wav' ? ['level'] : []);
    // Matroska does not take the delay of every coder back: whether that offset is real is not known.
    if (name.endsWith('.mka'))
      expect(unknown).toEqual([expect.stringMatching(/^whether it is \d+ samples late cannot be told/)]);
    else expect(unknown).toEqual([]);
  });
});
