import { describe, expect, it } from 'vitest';
import type { SoundMistake } from '../../../jobs/measurement/measured-comparison.js';
import { judgeStretch } from '../../../workers/compare/sound/judge-stretch.js';

const RATE = 48_000;
const SAMPLES = 2 ** 14;

/** Noise of a generator with known constants (Numerical Recipes, from memory): the same at every run. */
function noise(seed: number): Float32Array {
  let state = seed >>> 0;
  return Float32Array.from({ length: SAMPLES }, () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return (state / 2 ** 32 - 0.5) * 0.5;
  });
}

const tone = Float32Array.from(
  { length: SAMPLES },
  (_, i) => 0.5 * Math.sin((2 * Math.PI * 1000 * i) / RATE),
);

function late(samples: Float32Array, by: number): Float32Array {
  return Float32Array.from({ length: SAMPLES }, (_, i) => samples[i - by] ?? 0);
}

function times(samples: Float32Array, gain: number): Float32Array {
  return samples.map((sample) => sample * gain);
}

const [LEFT, RIGHT] = [noise(1), noise(2)];
const STREAM = { stream: 0, of: 0, sampleRate: RATE, isResampled: false };

const PAIRS: readonly (readonly [string, Float32Array[], SoundMistake[], number | null])[] = [
  ['the same', [LEFT, RIGHT], [], 0],
  ['one sample late', [late(LEFT, 1), late(RIGHT, 1)], ['offset'], 1],
  ['one channel a sample late', [LEFT, late(RIGHT, 1)], ['offset'], 0],
  ['700 samples early', [late(LEFT, -700), late(RIGHT, -700)], ['offset'], -700],
  ['6 dB lower', [times(LEFT, 0.5), times(RIGHT, 0.5)], ['level'], 0],
  ['one channel 6 dB lower', [LEFT, times(RIGHT, 0.5)], ['level'], 0],
  ['half a decibel lower and otherwise the same', [times(LEFT, 0.944), times(RIGHT, 0.944)], ['level'], 0],
  ['one channel 0.2 dB louder', [LEFT, times(RIGHT, 1.0233)], ['level'], 0],
  ['0.05 dB lower', [times(LEFT, 0.9943), times(RIGHT, 0.9943)], [], 0],
  // 20 lg 0.944 = -0.5 dB, under noise of a twentieth: what a coder drops and what it adds.
  [
    'half a decibel lower, as coding may make it',
    [
      LEFT.map((s, i) => 0.944 * s + 0.05 * (RIGHT[i] ?? 0)),
      RIGHT.map((s, i) => 0.944 * s + 0.05 * (LEFT[i] ?? 0)),
    ],
    [],
    0,
  ],
  ['polarity of one channel', [LEFT, times(RIGHT, -1)], ['polarity'], 0],
  ['left and right', [RIGHT, LEFT], ['channels-exchanged'], null],
  [
    'late, lower and upside down',
    [late(times(LEFT, -0.5), 9), late(RIGHT, 9)],
    ['offset', 'polarity', 'level'],
    9,
  ],
  [
    'under noise as loud as a twentieth of it',
    [LEFT.map((s, i) => s + 0.05 * (RIGHT[i] ?? 0)), RIGHT],
    [],
    0,
  ],
];

describe('sound of a copy', () => {
  it.each(PAIRS)('%s', (_, copy, mistakes, offset) => {
    const found = judgeStretch(STREAM, [LEFT, RIGHT], copy)?.found;
    if (found === undefined) throw new Error('not the same sound');
    expect(found.mistakes.map(({ name }) => name)).toEqual(mistakes);
    expect(found.offsetSamples).toBe(offset);
  });

  it.each([24, 96])(
    'a steady tone fits itself every period: %i samples late its offset is not known',
    (by) => {
      const stretch = judgeStretch(STREAM, [tone], [late(tone, by)]);
      expect(stretch?.found).toMatchObject({ offsetSamples: null, mistakes: [] });
      expect(stretch?.unknown).toEqual([expect.stringContaining('offset cannot be told')]);
    },
  );

  it('the same samples are in step, whatever else would fit', () => {
    const stretch = judgeStretch(STREAM, [tone], [tone]);
    expect(stretch?.found).toMatchObject({ offsetSamples: 0, gainDb: 0, mistakes: [] });
    expect(stretch?.unknown).toEqual([]);
  });

  it('noise beside a steady tone tells the offset and the polarity of the tone', () => {
    expect(judgeStretch(STREAM, [LEFT, tone], [LEFT, times(tone, -1)])?.found).toMatchObject({
      offsetSamples: 0,
      mistakes: [{ name: 'polarity', detail: 'opposite polarity of channel 2' }],
    });
  });

  it('other sound is not compared', () => {
    expect(judgeStretch(STREAM, [LEFT], [noise(3)])).toBeNull();
  });
});
