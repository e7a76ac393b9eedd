import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { execa } from 'execa';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type Measurement, measurement } from '../../jobs/measurement/measurement.js';
import { runFfmpeg } from '../../workers/ffmpeg/run-ffmpeg.js';
import { frameClock } from '../../workers/measure/figures/frame-ranges.js';
import { SoundLog } from '../../workers/measure/reading/sound-log.js';
import { soundFigures } from '../../workers/measure/sound/sound-figures.js';
import { SoundMeter } from '../../workers/measure/sound/sound-meter.js';
import { probeClip } from '../../workers/probe/probe-clip.js';
import { measureFile } from '../media/measure-file.js';

/*
 * Sound whose every sample is known, packed by ffmpeg and measured from the file. Expected figures are
 * counted from the samples; codecs that store whole numbers give them back as they are.
 */
const RATE = 48_000;
const SECONDS = 4;
/** Samples to a frame of 25 frames/s. */
const FRAME = 1920;

let folder = '';
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-sound-'));
});
afterAll(async () => {
  await rm(folder, { recursive: true, force: true });
});

function noise(seed: number): (index: number) => number {
  let state = seed;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return (state / 2 ** 31 - 1) * 0.2;
  };
}

/** Whole numbers of 16 bits in words of 32, interleaved: what stands in 16 bits, and nothing below. */
function words(channels: readonly ((index: number) => number)[], seconds = SECONDS): Buffer {
  const all = new Int32Array(seconds * RATE * channels.length);
  for (let i = 0; i < seconds * RATE; i++) {
    channels.forEach((channel, c) => {
      const code = Math.max(-32768, Math.min(32767, Math.round(channel(i) * 32768)));
      all[i * channels.length + c] = code * 65536;
    });
  }
  return Buffer.from(all.buffer);
}

/** Silence from 1.000 s to 2.500 s in both, three full-scale samples on the right. */
const CLIP_AT = 140_000;
function programme(): Buffer {
  const quiet = (channel: (index: number) => number) => (i: number) => {
    const value = channel(i);
    return i >= RATE && i < 2.5 * RATE ? 0 : value;
  };
  const left = quiet(noise(1));
  const right = quiet(noise(2));
  return words([left, (i) => (i >= CLIP_AT && i < CLIP_AT + 3 ? 1 : right(i))]);
}

interface Packing {
  readonly name: string;
  readonly samples: Buffer;
  readonly channels?: number;
  readonly picture?: boolean;
  readonly encode: readonly string[];
  readonly input?: readonly string[];
}

async function pack({
  name,
  samples,
  channels = 2,
  picture = false,
  encode,
  input = [],
}: Packing): Promise<string> {
  const path = join(folder, name);
  await writeFile(`${path}.raw`, samples);
  const frames = ['-f', 'lavfi', '-i', `color=gray:s=64x36:r=25:d=${SECONDS}`];
  await execa('ffmpeg', [
    ...['-hide_banner', '-nostdin', '-y', '-loglevel', 'error', ...input],
    ...['-f', 's32le', '-ar', String(RATE), '-ac', String(channels), '-i', `${path}.raw`],
    ...(picture ? [...frames, '-map', '1:v', '-map', '0:a', '-c:v', 'ffv1', '-timecode', '10:00:00:00'] : []),
    ...[...encode, '-bitexact', `file:${path}`],
  ]);
  return path;
}

async function measured(path: string): Promise<Measurement> {
  return measurement.parse(await measureFile(path));
}

const kinds = (m: Measurement, kind: string) =>
  m.events
    .filter((event) => event.kind === kind)
    .map(({ from, to, fromTimecode, toTimecode }) => ({ from, to, fromTimecode, toTimecode }));

describe('sound beside a picture of 25 frames/s from 10:00:00:00', () => {
  let m: Measurement;
  beforeAll(async () => {
    m = await measured(
      await pack({ name: 'a.mov', samples: programme(), picture: true, encode: ['-c:a', 'pcm_s24le'] }),
    );
  }, 60_000);

  it('16 bits are used of 24', () => {
    expect(m.audio[0]?.bitDepth).toBe(24);
    expect(m.audio[0]?.content?.channels.map(({ usedBits }) => usedBits)).toEqual([16, 16]);
  });
  it('silence is found to the sample, and stands on the timeline', () => {
    const level = m.audio[0]?.content?.quiet.find(({ below }) => below === null);
    expect(level).toEqual({
      below: null,
      count: 1,
      longest: [{ from: RATE, to: 2.5 * RATE, peakDbfs: null }],
    });
    // 1.0 s is frame 25; 2.5 s is in the middle of frame 62.
    expect(kinds(m, 'silence')).toEqual([
      { from: 25, to: 63, fromTimecode: '10:00:01:00', toTimecode: '10:00:02:13' },
    ]);
  });
  it('three full-scale samples are a clip, where they are', () => {
    const [left, right] = m.audio[0]?.content?.channels ?? [];
    expect(left?.clipping.runs).toBe(0);
    expect(right?.clipping).toEqual({
      runs: 1,
      samples: 3,
      longest: 3,
      places: [{ from: CLIP_AT, to: CLIP_AT + 3, runs: 1 }],
    });
    const frame = Math.floor(CLIP_AT / FRAME);
    expect(kinds(m, 'clipping')).toEqual([
      { from: frame, to: frame + 1, fromTimecode: '10:00:02:22', toTimecode: '10:00:02:23' },
    ]);
  });
  it('loudness over time has a point every 100 ms', () => {
    const [curve] = m.curves.sound;
    expect(m.curves.sound).toHaveLength(1);
    expect(curve).toMatchObject({ stream: m.audio[0]?.stream, secondsPerPoint: 0.1 });
    expect(curve?.momentary).toHaveLength(SECONDS * 10);
    // The window that ends at 2.0 s lies wholly in the silence, the one that ends at 1.0 s before it.
    expect(curve?.momentary[19]).toBeNull();
    expect(curve?.momentary[9]).not.toBeNull();
  });
});

describe('bits in use, by codec', () => {
  const both = (): Buffer => words([noise(3), noise(4)], 1);
  it.each([
    ['a.wav', ['-c:a', 'pcm_s16le'], 16, 16],
    ['b.wav', ['-c:a', 'pcm_s24le'], 24, 16],
    ['c.wav', ['-c:a', 'pcm_s32le'], 32, 16],
    ['d.wav', ['-c:a', 'pcm_u8'], 8, 8],
    ['e.flac', ['-c:a', 'flac', '-sample_fmt', 's32'], 24, 16],
    ['f.mov', ['-c:a', 'alac', '-sample_fmt', 's32p'], 24, 16],
    ['g.mov', ['-c:a', 'pcm_s24be'], 24, 16],
  ])('%s, %j: %i declared', async (name, encode, declared, used) => {
    const [audio] = (await measured(await pack({ name, samples: both(), encode }))).audio;
    expect(audio?.bitDepth).toBe(declared);
    expect(audio?.content?.channels.map(({ usedBits }) => usedBits)).toEqual([used, used]);
  });
  it.each([
    ['h.wav', ['-c:a', 'pcm_f32le']],
    ['i.mov', ['-c:a', 'aac']],
    ['j.wav', ['-c:a', 'pcm_alaw']],
  ])('%s, %j has none', async (name, encode) => {
    const [audio] = (await measured(await pack({ name, samples: both(), encode }))).audio;
    expect(audio?.content?.channels.map(({ usedBits }) => usedBits)).toEqual([null, null]);
  });
});

describe('sound alone', () => {
  it('an offset of 0.1 %, inverted channels; events count whole seconds', async () => {
    const left = noise(5);
    const values = Array.from({ length: SECONDS * RATE }, (_, i) => left(i));
    const at = (i: number): number => values[i] ?? 0;
    const samples = words([at, (i) => -at(i)]);
    const inverted = await measured(
      await pack({ name: 'inverted.wav', samples, encode: ['-c:a', 'pcm_s24le'] }),
    );
    const pair = inverted.audio[0]?.content?.pairs?.[0];
    expect(pair?.correlation).toBeCloseTo(-1, 6);
    expect(pair?.foldDownLossDb).toBeGreaterThan(90);
    expect(kinds(inverted, 'out-of-phase')).toEqual([
      { from: 0, to: SECONDS, fromTimecode: null, toTimecode: null },
    ]);

    // 33 of 32768 steps are 0.1007 % of full scale.
    const offset = words([(i) => Math.round(at(i) * 32768) / 32768 + 33 / 32768, at]);
    const shifted = await measured(
      await pack({ name: 'dc.wav', samples: offset, encode: ['-c:a', 'pcm_s24le'] }),
    );
    const [first, second] = shifted.audio[0]?.content?.channels.map(({ dcOffset }) => dcOffset ?? 9) ?? [];
    expect((first ?? 9) - (second ?? 9)).toBeCloseTo(33 / 32768, 9);
  });

  it('a sine of -18 dBFS is line-up of that level', async () => {
    const sine = (i: number): number => 10 ** (-18 / 20) * Math.sin((2 * Math.PI * 1000 * i) / RATE);
    const m = await measured(
      await pack({ name: 'tone.wav', samples: words([sine, sine], 2), encode: ['-c:a', 'pcm_s24le'] }),
    );
    for (const channel of m.audio[0]?.content?.channels ?? []) {
      // 16 bits round a sine of this level by less than a thousandth of a decibel.
      expect(channel.tone?.levelDbfs).toBeCloseTo(-18, 3);
      expect(channel.tone).toMatchObject({ from: 0, to: 2 * RATE });
    }
    expect(m.audio[0]?.content?.identical).toEqual([{ first: 0, second: 1 }]);
  });
});

describe('what ffmpeg says of the decoder', () => {
  /** The samples of a file as they come through the log's filter. */
  async function readThrough(path: string, log: SoundLog, filter: readonly string[]): Promise<Buffer> {
    const out = join(folder, 'out.raw');
    const output = { path: out, options: ['-map', '0:0', ...filter, '-c:a', 'pcm_f64le', '-f', 'f64le'] };
    await runFfmpeg(
      { inputs: [{ path, options: [] }], outputs: [output] },
      { onLine: (line) => log.read(line) },
    );
    const { stdout } = await execa('cat', [out], { encoding: 'buffer' });
    return Buffer.from(stdout);
  }

  it('the filter changes no sample, and gives the format and the start', async () => {
    const path = await pack({ name: 'plain.wav', samples: programme(), encode: ['-c:a', 'pcm_s24le'] });
    const log = new SoundLog('gate0123456789ab');
    const through = await readThrough(path, log, ['-af', log.filter(0)]);
    const plain = await readThrough(path, new SoundLog('gatefedcba987654'), []);
    expect(through.length).toBe(SECONDS * RATE * 2 * 8);
    expect(through.equals(plain)).toBe(true);
    expect(log.first(0)).toMatchObject({ sampleRate: RATE, channels: 2, layout: 'stereo' });
    expect(log.startSeconds(0)).toBe(0);
    expect(log.changes(0)).toEqual([]);
  });

  it('a change of rate and channels in mid-stream leaves no figure standing', async () => {
    const source = (rate: number) => ['-f', 'lavfi', '-i', `sine=1000:r=${rate}:d=2`];
    const parts = await Promise.all(
      [
        { rate: 48_000, channels: '2', name: 'one.ts' },
        { rate: 44_100, channels: '1', name: 'two.ts' },
      ].map(async ({ rate, channels, name }) => {
        const path = join(folder, name);
        await execa('ffmpeg', ['-y', '-v', 'error', ...source(rate), '-ac', channels, '-c:a', 'aac', path]);
        return path;
      }),
    );
    const path = join(folder, 'both.ts');
    await execa('sh', ['-c', 'cat "$1" "$2" > "$3"', 'sh', ...parts, path]);
    const log = new SoundLog('gate0123456789ab');
    const samples = await readThrough(path, log, ['-af', log.filter(0)]);
    const facts = await probeClip(path);
    const meter = new SoundMeter({ sampleRate: 48_000, channels: 2, layout: 'stereo' });
    meter.push(new Float64Array(new Uint8Array(samples).buffer));

    expect(log.changes(0)).toHaveLength(1);
    const { audio, events, unmeasured, curves } = soundFigures({
      streams: facts.audio,
      answer: { kind: 'done', outcomes: [{ kind: 'done', figures: meter.finish() }] },
      log,
      codedLoudness: [],
      clock: frameClock(null, null),
      frameRate: null,
      picture: null,
    });
    expect(audio[0]).toMatchObject({ integratedLufs: null, truePeakDbtp: null, content: null });
    expect(curves).toEqual([]);
    expect(events).toEqual([expect.objectContaining({ kind: 'sound-format-change', from: 2, to: 3 })]);
    expect(events[0]?.detail).toMatch(/from 48000 Hz, stereo, fltp to 44100 Hz, mono, fltp/);
    expect(unmeasured).toEqual([{ what: 'audio[0]', why: events[0]?.detail }]);
  });
});
