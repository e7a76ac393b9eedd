import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  MOST_CLIP_PLACES,
  MOST_RUNS,
  QUIET_LEVELS,
  type SoundContent,
} from '../../../../jobs/measurement/measured-sound.js';
import '../../../property-seed.js';
import { fullScale } from '../../../../workers/measure/sound/clip-meter.js';
import { type SoundFormat, SoundMeter } from '../../../../workers/measure/sound/sound-meter.js';
import { naiveClips, naiveCorrelation, naiveQuiet, runsWhere } from './naive-sound.js';

/*
 * Every expected figure is reckoned from the signal that is put in: levels of sines (peak = amplitude, RMS
 * 3.0103 dB below), sums of powers, and counts of samples. What counts as silence, clipping or out of phase
 * is common practice, no source.
 */
const RATE = 8_000;

function interleave(channels: readonly Float64Array[]): Float64Array {
  const out = new Float64Array((channels[0]?.length ?? 0) * channels.length);
  channels.forEach((samples, c) => {
    samples.forEach((value, i) => {
      out[i * channels.length + c] = value;
    });
  });
  return out;
}

function contentOf(channels: readonly Float64Array[], format: Partial<SoundFormat> = {}): SoundContent {
  const layout = channels.length === 1 ? 'mono' : 'stereo';
  const meter = new SoundMeter({ sampleRate: RATE, channels: channels.length, layout, ...format });
  meter.push(interleave(channels));
  return meter.finish().content;
}

const sine = (seconds: number, amplitude: number, hertz = 1000, rate = RATE, phase = 0): Float64Array =>
  Float64Array.from(
    { length: Math.round(seconds * rate) },
    (_, i) => amplitude * Math.sin((2 * Math.PI * hertz * i) / rate + phase),
  );
const flat = (samples: number, value: number): Float64Array => new Float64Array(samples).fill(value);
const join = (...parts: readonly Float64Array[]): Float64Array =>
  Float64Array.from(parts.flatMap((part) => [...part]));
const quantised = (samples: Float64Array, bits: number): Float64Array =>
  samples.map((x) => Math.round(x * 2 ** (bits - 1)) / 2 ** (bits - 1));
function noise(length: number, amplitude: number, seed: number): Float64Array {
  let state = seed;
  return Float64Array.from({ length }, () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return (state / 2 ** 31 - 1) * amplitude;
  });
}
const dB = (value: number): number => 10 ** (value / 20);
const at = (content: SoundContent, below: number | null) =>
  content.quiet.find((level) => level.below === below);

describe('a 1 kHz sine of -18 dBFS in both channels', () => {
  const tone = sine(3, dB(-18), 1000, 48_000);
  const { channels, pairs, identical } = contentOf([tone, tone], { sampleRate: 48_000 });
  it('has its peak level, an RMS 3.01 dB lower, and no DC offset', () => {
    for (const channel of channels) {
      expect(channel.samplePeakDbfs).toBeCloseTo(-18, 6);
      expect(channel.rmsDbfs).toBeCloseTo(-18 - 10 * Math.log10(2), 6);
      expect(channel.dcOffset).toBeCloseTo(0, 9);
      expect(channel.clipping.runs).toBe(0);
    }
    expect(channels.map(({ speaker }) => speaker)).toEqual(['FL', 'FR']);
  });
  it('is line-up tone over its whole length', () => {
    for (const { tone: found } of channels) {
      expect(found).toMatchObject({ from: 0, to: 144_000 });
      expect(found?.levelDbfs).toBeCloseTo(-18, 6);
    }
  });
  it('is the same in both: correlation 1, nothing lost in mono, no side', () => {
    expect(identical).toEqual([{ first: 0, second: 1 }]);
    expect(pairs?.[0]).toMatchObject({ sideToMidDb: -144 });
    expect(pairs?.[0]?.correlation).toBeCloseTo(1, 12);
    expect(pairs?.[0]?.foldDownLossDb).toBeCloseTo(0, 9);
  });
});

describe('line-up tone', () => {
  const found = (samples: Float64Array) => contentOf([samples]).channels[0]?.tone ?? null;
  it.each([
    ['20 Hz beside', sine(3, 0.1, 1020)],
    ['an octave above', sine(3, 0.1, 2000)],
    ['noise', noise(3 * RATE, 0.3, 1)],
    ['shorter than a second', join(sine(0.98, 0.1), flat(RATE, 0))],
    ['as loud as noise beside it', sine(3, 0.1).map((x, i) => x + (noise(3 * RATE, 0.12, 3)[i] ?? 0))],
    ['silence', flat(3 * RATE, 0)],
    ['after two minutes', join(flat(121 * RATE, 0), sine(2, 0.1))],
  ])('is not: %s', (_, samples) => {
    expect(found(samples)).toBeNull();
  });
  it('is found at its place, to 10 ms', () => {
    expect(found(join(flat(RATE, 0), sine(1.5, 0.1), noise(RATE, 0.3, 2)))).toEqual({
      from: RATE,
      to: 2.5 * RATE,
      levelDbfs: expect.closeTo(-20, 6),
    });
  });
  it('ends where its level changes by more than 0.2 dB', () => {
    expect(found(join(sine(1.2, dB(-20)), sine(2, dB(-18))))).toEqual({
      from: 1.2 * RATE,
      to: 3.2 * RATE,
      levelDbfs: expect.closeTo(-18, 6),
    });
  });
});

describe('channels against each other', () => {
  const left = noise(4 * RATE, 0.4, 5);
  it('inverted: correlation -1, nothing left in mono, out of phase from end to end', () => {
    const { pairs, identical } = contentOf([left, left.map((x) => -x)]);
    expect(pairs?.[0]).toMatchObject({
      correlation: -1,
      foldDownLossDb: 144,
      sideToMidDb: 144,
      lowest: { correlation: -1 },
    });
    for (const { count, longest } of pairs?.[0]?.outOfPhase ?? []) {
      expect({ count, longest }).toEqual({ count: 1, longest: [{ from: 0, to: 4 * RATE }] });
    }
    expect(identical).toEqual([]);
  });
  it('unrelated: correlation 0, 3.01 dB lost in mono', () => {
    const pair = contentOf([left, noise(4 * RATE, 0.4, 77)]).pairs?.[0];
    expect(pair?.correlation).toBeCloseTo(0, 1);
    expect(pair?.foldDownLossDb).toBeCloseTo(10 * Math.log10(2), 1);
  });
  it.each([30, 60, 80, 100, 125, 150])(
    'sines %i degrees apart correlate with the cosine of that',
    (degrees) => {
      const phase = (degrees * Math.PI) / 180;
      const pair = contentOf([sine(2, 0.25, 500), sine(2, 0.25, 500, RATE, phase)]).pairs?.[0];
      expect(pair?.correlation).toBeCloseTo(Math.cos(phase), 9);
      // The sum of two such sines has the amplitude 2 cos(phase / 2).
      expect(pair?.foldDownLossDb).toBeCloseTo(-20 * Math.log10(Math.cos(phase / 2)), 6);
      expect(pair?.sideToMidDb).toBeCloseTo(20 * Math.log10(Math.tan(phase / 2)), 6);
      for (const { below, count } of pair?.outOfPhase ?? []) {
        expect(count, `below ${below}`).toBe(Math.cos(phase) < below ? 1 : 0);
      }
    },
  );
  it('an inverted passage is found to within 100 ms, the step of the windows', () => {
    const right = left.map((x, i) => (i >= RATE && i < 2.5 * RATE ? -x : x));
    const runs = contentOf([left, right]).pairs?.[0]?.outOfPhase.find(({ below }) => below === -0.5);
    expect(runs?.count).toBe(1);
    expect(Math.abs((runs?.longest[0]?.from ?? 0) - RATE)).toBeLessThanOrEqual(RATE / 10);
    expect(Math.abs((runs?.longest[0]?.to ?? 0) - 2.5 * RATE)).toBeLessThanOrEqual(RATE / 10);
  });
  it('pauses under a second do not split inverted speech; longer ones do', () => {
    const speech = (pause: number) => {
      const parts = [0, 1, 2].flatMap((i) => [noise(RATE, 0.3, i + 1), flat(pause * RATE, 0)]);
      const one = join(...parts);
      return contentOf([one, one.map((x) => -x)]).pairs?.[0]?.outOfPhase[2]?.count;
    };
    expect(speech(0.8)).toBe(1);
    expect(speech(2)).toBe(3);
  });
  it('one silent channel has no correlation, and mono loses 3.01 dB', () => {
    const pair = contentOf([left, flat(left.length, 0)]).pairs?.[0];
    expect(pair).toMatchObject({ correlation: null, lowest: null, sideToMidDb: 0 });
    expect(pair?.foldDownLossDb).toBeCloseTo(10 * Math.log10(2), 9);
  });
  it('silence is neither in phase nor out of it, nor are silent channels identical', () => {
    const { pairs, identical } = contentOf([flat(RATE, 0), flat(RATE, 0)]);
    expect(pairs?.[0]).toMatchObject({ correlation: null, foldDownLossDb: null, sideToMidDb: null });
    expect(identical).toEqual([]);
  });
  it('channels that differ by one bit in one sample are not identical', () => {
    const right = left.slice();
    right[right.length - 1] = (right[right.length - 1] ?? 0) + 2 ** -23;
    expect(contentOf([left, right]).identical).toEqual([]);
  });
  it.each([
    ['mono', 1, []],
    ['stereo', 2, [[0, 1]]],
    [null, 2, [[0, 1]]],
    [
      '5.1(side)',
      6,
      [
        [0, 1],
        [4, 5],
      ],
    ],
    [
      '7.1',
      8,
      [
        [0, 1],
        [6, 7],
        [4, 5],
      ],
    ],
    [null, 8, null],
    ['6 channels', 6, null],
  ])('which belong together: %s, %i channels', (layout, channels, expected) => {
    const content = contentOf(
      Array.from({ length: channels }, () => flat(80, 0.1)),
      { layout },
    );
    expect(content.pairs?.map(({ left: a, right: b }) => [a, b]) ?? null).toEqual(expected);
  });
});

describe('silence', () => {
  it.each([100, 123, 2000])('of exactly %i ms has its first and last sample', (milliseconds) => {
    const samples = (milliseconds * RATE) / 1000;
    const content = contentOf([join(flat(777, 0.5), flat(samples, 0), flat(801, -0.5))]);
    expect(at(content, null)).toEqual({
      below: null,
      count: 1,
      longest: [{ from: 777, to: 777 + samples, peakDbfs: null }],
    });
  });
  it('of 99 ms is too short', () => {
    expect(at(contentOf([join(flat(777, 0.5), flat(792, 0), flat(801, 0.5))]), null)?.count).toBe(0);
  });
  it('is found at every threshold at or above its highest sample', () => {
    const hiss = sine(1, dB(-60), 997);
    const content = contentOf([join(flat(100, 0.9), hiss, flat(100, 0.9))]);
    const found = content.quiet.map(({ below, count }) => [below, count]);
    expect(found).toEqual([
      [-40, 1],
      [-50, 1],
      [-60, 1],
      [-70, 0],
      [-80, 0],
      [null, 0],
    ]);
    expect(at(content, -60)?.longest[0]?.peakDbfs).toBeCloseTo(-60, 2);
  });
  it('of a whole file runs from its first sample to its last', () => {
    expect(at(contentOf([flat(1001, 0)]), null)?.longest).toEqual([{ from: 0, to: 1001, peakDbfs: null }]);
  });
  it('of the programme is where all channels are silent; each channel has its own too', () => {
    const left = join(flat(RATE, 0), flat(2 * RATE, 0.5));
    const right = join(flat(RATE / 2, 0.5), flat(RATE, 0), flat(1.5 * RATE, 0.5));
    const content = contentOf([left, right]);
    expect(at(content, null)?.longest).toEqual([{ from: RATE / 2, to: RATE, peakDbfs: null }]);
    expect(content.channels.map(({ quiet }) => quiet.at(-1)?.longest[0])).toEqual([
      { from: 0, to: RATE, peakDbfs: null },
      { from: RATE / 2, to: 1.5 * RATE, peakDbfs: null },
    ]);
  });
  it('keeps the longest runs, however many there are, and counts all', () => {
    const runs = Array.from({ length: MOST_RUNS + 20 }, (_, i) => 800 + ((i * 37) % 71));
    const samples = join(...runs.flatMap((length) => [flat(length, 0), flat(11, 0.5)]));
    expect(at(contentOf([samples]), null)).toEqual(naiveQuiet([samples], RATE, null));
  });
});

describe('clipping', () => {
  const quietly = (...values: number[]): Float64Array =>
    join(flat(500, 0.1), Float64Array.from(values), flat(500, 0.1));
  const clips = (samples: Float64Array, sampleDepth: number | null = 24) =>
    contentOf([samples], { sampleDepth }).channels[0]?.clipping;
  const most16 = 1 - 2 ** -15;
  const most24 = 1 - 2 ** -23;
  it.each([
    ['three samples at the top', [most24, most24, most24], 1],
    ['three of a 16-bit word in 24', [most16, most16, most16], 1],
    ['three at the bottom', [-1, -1, -1], 1],
    ['bottom, the code above', [-most24, -1, -most24], 1],
    ['two', [most24, most24, 0.2, most24], 0],
    ['three, not in a row', [most24, 0.9, most24, 0.9, most24], 0],
    ['from one end to the other', [1, -1, 1, -1, 1, -1], 0],
    ['two 16-bit codes below the top', [1 - 2 ** -14, 1 - 2 ** -14, 1 - 2 ** -14], 0],
    ['above full scale, in floating point', [1.5, 1.2, 1.7], 1],
  ])('%s', (_, values, runs) => {
    expect(clips(quietly(...values))?.runs).toBe(runs);
  });
  it('says where, and how long', () => {
    expect(clips(quietly(1, 1, 1, 0, -1, -1, -1, -1))).toEqual({
      runs: 2,
      samples: 7,
      longest: 4,
      places: [{ from: 500, to: 508, runs: 2 }],
    });
  });
  it('across the end of a hop of 10 ms, and at the end of the file', () => {
    expect(clips(join(flat(78, 0.1), flat(4, 1)))).toMatchObject({ runs: 1, longest: 4 });
    expect(clips(join(flat(239, 0.1), flat(3, 1), flat(9, 0)))).toMatchObject({
      places: [{ from: 239, to: 242, runs: 1 }],
    });
  });
  it('runs a second apart are separate places; the first are kept, all are counted', () => {
    const one = join(flat(3, 1), flat(RATE, 0));
    const samples = join(...Array.from({ length: MOST_CLIP_PLACES + 5 }, () => one));
    const found = clips(samples);
    expect(found).toMatchObject({ runs: MOST_CLIP_PLACES + 5, longest: 3 });
    expect(found?.places).toHaveLength(MOST_CLIP_PLACES);
    expect(found?.places[1]).toEqual({ from: RATE + 3, to: RATE + 6, runs: 1 });
  });
  it('full scale is lower at 8 bits than at 16, and the same from 16 bits on', () => {
    expect([8, 16, 24, 32, null].map(fullScale)).toEqual([127 / 128, most16, most16, most16, most16]);
  });
});

describe('bits in use', () => {
  const used = (samples: Float64Array, sampleDepth: number | null) =>
    contentOf([samples], { sampleDepth }).channels[0]?.usedBits;
  const sound = noise(RATE, 0.5, 8);
  it.each([
    [8, 16],
    [16, 16],
    [16, 24],
    [20, 24],
    [23, 24],
    [24, 24],
    [24, 32],
    [32, 32],
  ])('%i bits in words of %i', (bits, depth) => {
    expect(used(quantised(sound, bits), depth)).toBe(bits);
  });
  it('one sample that uses the lowest bit is enough to use it', () => {
    const samples = quantised(sound, 16);
    samples[5000] = 2 ** -23;
    expect(used(samples, 24)).toBe(24);
    samples[5000] = -(2 ** -23);
    expect(used(samples, 24)).toBe(24);
  });
  it('the lowest code of all uses the sign alone', () => {
    expect(used(flat(100, -1), 24)).toBe(1);
  });
  it('silence uses none, and floating-point samples have no figure', () => {
    expect(used(flat(100, 0), 24)).toBeNull();
    expect(used(sound, null)).toBeNull();
  });
});

describe('DC offset', () => {
  it.each([0.001, -0.001, 0.0003])('of %f is the mean, under any signal', (offset) => {
    const { channels } = contentOf([sine(2, 0.25, 440).map((x) => x + offset)]);
    expect(channels[0]?.dcOffset).toBeCloseTo(offset, 9);
  });
  it('is null without samples', () => {
    expect(contentOf([flat(0, 0)]).channels[0]).toMatchObject({
      dcOffset: null,
      rmsDbfs: null,
      usedBits: null,
    });
  });
});

describe('any signal', () => {
  const piece = fc.oneof(
    fc.record({
      kind: fc.constant('flat' as const),
      value: fc.constantFrom(0, 1, -1, 0.001, -0.0001, 0.5),
      length: fc.integer({ min: 1, max: 1_500 }),
    }),
    fc.record({
      kind: fc.constant('noise' as const),
      value: fc.constantFrom(1.2, 0.3, 0.005, 0.0005),
      length: fc.integer({ min: 1, max: 700 }),
    }),
  );
  const channel = fc
    .array(piece, { minLength: 1, maxLength: 12 })
    .map((pieces) =>
      join(
        ...pieces.map(({ kind, value, length }, i) =>
          kind === 'flat' ? flat(length, value) : noise(length, value, i + 1),
        ),
      ),
    );
  const stereo = fc.tuple(channel, channel).map(([a, b]) => {
    const length = Math.min(a.length, b.length);
    return [a.subarray(0, length), b.subarray(0, length)] as const;
  });

  it('has the runs, clips, means and correlation of their definitions', () => {
    fc.assert(
      fc.property(stereo, (channels) => {
        const content = contentOf(channels, { sampleDepth: 24 });
        expect(content.quiet).toEqual(QUIET_LEVELS.map((below) => naiveQuiet(channels, RATE, below)));
        channels.forEach((samples, c) => {
          const { clipping, quiet, dcOffset } = content.channels[c] ?? {};
          expect(quiet).toEqual(QUIET_LEVELS.map((below) => naiveQuiet([samples], RATE, below)));
          const clips = naiveClips(samples, fullScale(24));
          expect(clipping).toMatchObject({
            runs: clips.length,
            samples: clips.reduce((sum, { from, to }) => sum + to - from, 0),
            longest: Math.max(0, ...clips.map(({ from, to }) => to - from)),
          });
          expect(dcOffset).toBeCloseTo(samples.reduce((a, b) => a + b, 0) / samples.length, 9);
        });
        const [left, right] = channels;
        const sounds = [left, right].every((samples) => samples.some((x) => x !== 0));
        const correlation = content.pairs?.[0]?.correlation;
        if (sounds) expect(correlation).toBeCloseTo(naiveCorrelation(left, right), 9);
        else expect(correlation).toBeNull();
        const same = runsWhere(left.length, (i) => left[i] !== right[i]).length === 0;
        expect(content.identical).toEqual(same && sounds ? [{ first: 0, second: 1 }] : []);
      }),
      { numRuns: 60 },
    );
  });

  it('has the same content and curve however it is cut into chunks', () => {
    fc.assert(
      fc.property(
        stereo,
        fc.array(fc.integer({ min: 0, max: 3_000 }), { maxLength: 30 }),
        (channels, sizes) => {
          const samples = interleave(channels);
          const format = { sampleRate: 11_025, channels: 2, layout: 'stereo', sampleDepth: 24 };
          const whole = new SoundMeter(format);
          whole.push(samples);
          const cut = new SoundMeter(format);
          let from = 0;
          for (const size of sizes) {
            cut.push(samples.subarray(from, from + size));
            from += size;
          }
          cut.push(samples.subarray(Math.min(from, samples.length)));
          expect(cut.finish()).toEqual(whole.finish());
        },
      ),
      { numRuns: 30 },
    );
  });
});
