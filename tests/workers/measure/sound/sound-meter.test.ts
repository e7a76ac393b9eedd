import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { channelWeights } from '../../../../workers/measure/sound/channel-weights.js';
import { kWeighting } from '../../../../workers/measure/sound/k-weighting.js';
import { type SoundFormat, SoundMeter } from '../../../../workers/measure/sound/sound-meter.js';

function noise(length: number, seed: number): Float32Array {
  let state = seed;
  return Float32Array.from({ length }, () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return (state / 2 ** 32 - 0.5) * 0.4;
  });
}

function measure(format: SoundFormat, chunks: readonly (Float32Array | Float64Array)[]) {
  const meter = new SoundMeter(format);
  for (const chunk of chunks) meter.push(chunk);
  return meter.finish();
}

const stereo48k: SoundFormat = { sampleRate: 48_000, channels: 2, layout: 'stereo' };

describe('chunks', () => {
  it.each([
    { sampleRate: 8_000, channels: 3, layout: '3.0' },
    { sampleRate: 11_025, channels: 1, layout: 'mono' },
  ])('of any size give the same figures to the last bit ($sampleRate Hz)', (format) => {
    const samples = noise(format.sampleRate * format.channels * 4 + 7, 1);
    const whole = measure(format, [samples]);
    expect(whole.maxShortTermLufs).not.toBeNull();
    fc.assert(
      fc.property(fc.array(fc.integer({ min: 0, max: 9_000 }), { maxLength: 40 }), (sizes) => {
        const chunks: Float32Array[] = [];
        let at = 0;
        for (const size of sizes) {
          chunks.push(samples.subarray(at, at + size));
          at += size;
        }
        expect(measure(format, [...chunks, samples.subarray(Math.min(at, samples.length))])).toEqual(whole);
      }),
      { numRuns: 15 },
    );
  });

  it('of one sample each give the same figures', () => {
    const format = { sampleRate: 8_000, channels: 2, layout: 'stereo' };
    const samples = noise(8_000 * 2, 5);
    const single = Array.from(samples, (_, i) => samples.subarray(i, i + 1));
    expect(measure(format, single)).toEqual(measure(format, [samples]));
  });
});

describe('figures that cannot be given are null', () => {
  const silent = {
    integratedLufs: null,
    loudnessRange: null,
    maxMomentaryLufs: null,
    maxShortTermLufs: null,
  };
  it('no samples', () => {
    expect(measure(stereo48k, [])).toMatchObject({
      ...silent,
      samples: 0,
      truePeakDbtp: null,
      samplePeakDbfs: null,
    });
  });
  it('digital silence', () => {
    const figures = measure(stereo48k, [new Float32Array(48_000 * 8)]);
    expect(figures).toMatchObject({ ...silent, samples: 192_000, truePeakDbtp: null, samplePeakDbfs: null });
  });
  it('less than 400 ms has no loudness, but a peak', () => {
    const figures = measure(stereo48k, [noise(19_199 * 2, 3)]);
    expect(figures).toMatchObject({ integratedLufs: null, maxMomentaryLufs: null, maxShortTermLufs: null });
    expect(figures.samplePeakDbfs).toBeGreaterThan(-20);
  });
  it('400 ms exactly has one', () => {
    expect(measure(stereo48k, [noise(19_200 * 2, 3)]).integratedLufs).not.toBeNull();
  });
});

describe('NaN and infinite samples', () => {
  it('are counted, and do not disturb the filters', () => {
    const clean = noise(48_000 * 2, 9);
    const dirty = clean.slice();
    dirty.set([Number.NaN, Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY], 1_000);
    const zeroed = clean.slice();
    zeroed.set([0, 0, 0], 1_000);
    const figures = measure(stereo48k, [dirty]);
    expect(figures.invalidSamples).toBe(3);
    expect({ ...figures, invalidSamples: 0 }).toEqual(measure(stereo48k, [zeroed]));
  });
});

describe('peaks', () => {
  it('see a single sample at the very end of the file', () => {
    const samples = new Float32Array(48_000 * 2 + 2 * 37);
    samples[samples.length - 1] = -0.5;
    const { samplePeakDbfs, truePeakDbtp } = measure(stereo48k, [samples]);
    expect(samplePeakDbfs).toBeCloseTo(-6.0206, 4);
    expect(truePeakDbtp).toBeGreaterThanOrEqual(samplePeakDbfs ?? 0);
  });

  it('between the samples: a tone at a quarter of the sample rate, sampled at 45 degrees, peaks 3.01 dB above its samples', () => {
    const tone = Float64Array.from(
      { length: 4_800 },
      (_, i) => 0.5 * Math.sin((Math.PI / 2) * i + Math.PI / 4),
    );
    const middle = measure({ sampleRate: 48_000, channels: 1, layout: 'mono' }, [tone]);
    expect(middle.samplePeakDbfs).toBeCloseTo(-9.03, 2);
    expect(middle.truePeakDbtp).toBeGreaterThan(-6.05);
  });

  it('above full scale in float files read above 0', () => {
    const { samplePeakDbfs } = measure({ sampleRate: 48_000, channels: 1, layout: 'mono' }, [
      new Float32Array([2]),
    ]);
    expect(samplePeakDbfs).toBeCloseTo(6.0206, 4);
  });

  it.each([1_000, 5_000, 10_000, 15_000, 20_000])(
    'a full-scale tone of %i Hz reads 0 dBTP within 0.15 dB',
    (hertz) => {
      const length = 48_000;
      const tone = Float64Array.from({ length }, (_, i) => {
        const fade = Math.min(1, i / 4_800, (length - 1 - i) / 4_800);
        return fade * Math.sin((2 * Math.PI * (hertz + 0.37) * i) / 48_000);
      });
      const { truePeakDbtp } = measure({ sampleRate: 48_000, channels: 1, layout: 'mono' }, [tone]);
      expect(Math.abs(truePeakDbtp ?? 9)).toBeLessThan(0.15);
    },
  );
});

describe('channelWeights', () => {
  it.each([
    ['mono', 1, [1]],
    ['stereo', 2, [1, 1]],
    ['3.0', 3, [1, 1, 1]],
    ['quad', 4, [1, 1, 1.41, 1.41]],
    ['5.0', 5, [1, 1, 1, 1.41, 1.41]],
    ['5.1', 6, [1, 1, 1, 0, 1.41, 1.41]],
    ['5.1(side)', 6, [1, 1, 1, 0, 1.41, 1.41]],
    // Annex 3 Table 4: only loudspeakers between 60 and 120 degrees weigh 1.41; the back pair of 7.1 stands
    // behind.
    ['7.1', 8, [1, 1, 1, 0, 1, 1, 1.41, 1.41]],
    ['FL+FR+LFE', 3, [1, 1, 0]],
  ])('%s', (layout, channels, weights) => {
    expect(channelWeights(channels, layout)).toEqual({ weights, weighting: 'layout' });
  });
  it.each([
    ['6 channels', 6],
    [null, 6],
    ['5.1', 5],
    ['ambisonic 1', 4],
    ['toString', 1],
    ['', 1],
  ])('says that it assumes: %s with %i channels', (layout, channels) => {
    expect(channelWeights(channels, layout)).toEqual({
      weights: Array.from({ length: channels }, () => 1),
      weighting: 'assumed',
    });
  });
  it('takes one or two unnamed channels as mono or stereo', () => {
    expect(channelWeights(2, null).weighting).toBe('layout');
  });
});

describe('kWeighting at other rates', () => {
  function gain(rate: number, hertz: number): number {
    const w = (2 * Math.PI * hertz) / rate;
    return kWeighting(rate).reduce((db, { b0, b1, b2, a1, a2 }) => {
      const power = (x0: number, x1: number, x2: number) =>
        (x0 + x1 * Math.cos(w) + x2 * Math.cos(2 * w)) ** 2 + (x1 * Math.sin(w) + x2 * Math.sin(2 * w)) ** 2;
      return db + 10 * Math.log10(power(b0, b1, b2) / power(1, a1, a2));
    }, 0);
  }
  it.each([32_000, 44_100, 88_200, 96_000, 192_000])(
    '%i Hz has the response of 48 kHz within 0.1 dB to 6 kHz',
    (rate) => {
      for (const hertz of [20, 38, 60, 100, 500, 997, 1_682, 3_000, 6_000]) {
        expect(Math.abs(gain(rate, hertz) - gain(48_000, hertz))).toBeLessThan(0.1);
      }
    },
  );
});
