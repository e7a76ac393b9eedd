import { describe, expect, it } from 'vitest';
import { type SoundFigures, SoundMeter } from '../../workers/measure/sound/sound-meter.js';
import { hiddenPeak, peakTone, type Segment, stereo, toneSequence } from './tone.js';

/*
 * Outside truth for the sound meter. Signals and expected readings: EBU Tech 3341 v4 (Nov 2023) Table 1, EBU
 * Tech 3342 v4 Table 1, ITU-R BS.1770-5 Annex 1; read in transcription (grade: seen Q), the extra checks
 * calculated from the BS.1770 tables (grade: calc).
 *
 * Cases 7 and 8 of Tech 3341 are programmes that only exist as files and cannot be synthesised. Cases 9 and
 * 12 ask that the reading stays constant; the meter keeps maxima, so the largest reading is what is held to
 * it.
 */
function figures(
  samples: Float32Array | Float64Array,
  layout: string,
  channels: number,
  sampleRate = 48_000,
): SoundFigures {
  const meter = new SoundMeter({ sampleRate, channels, layout });
  meter.push(samples);
  return meter.finish();
}

const repeat = (times: number, segments: readonly Segment[]): Segment[] =>
  Array.from({ length: times }, () => segments).flat();
const twenty = Array.from({ length: 20 }, (_, i) => i);

describe('EBU Tech 3341 v4 Table 1: loudness, tolerance 0.1 LU', () => {
  const five: Segment = { seconds: 20, levels: [-28, -28, -24, -30, -30] };
  const integrated: [string, Segment[], string, number][] = [
    ['3', [stereo(10, -36), stereo(60, -23), stereo(10, -36)], 'stereo', -23],
    [
      '4',
      [stereo(10, -72), stereo(10, -36), stereo(60, -23), stereo(10, -36), stereo(10, -72)],
      'stereo',
      -23,
    ],
    ['5', [stereo(20, -26), stereo(20.1, -20), stereo(20, -26)], 'stereo', -23],
    ['6, channels as 5.0', [five], '5.0', -23],
    ['6, channels as 5.0(side)', [five], '5.0(side)', -23],
  ];
  it.each(integrated)('case %s: integrated', (_, segments, layout, expected) => {
    const channels = segments[0]?.levels.length ?? 0;
    const { integratedLufs } = figures(toneSequence(segments), layout, channels);
    expect(integratedLufs).toBeGreaterThan(expected - 0.1);
    expect(integratedLufs).toBeLessThan(expected + 0.1);
  });

  it.each([
    ['1', -23],
    ['2', -33],
  ])('case %s: momentary, short-term and integrated', (_, level) => {
    const { maxMomentaryLufs, maxShortTermLufs, integratedLufs } = figures(
      toneSequence([stereo(20, level)]),
      'stereo',
      2,
    );
    expect(Math.abs((integratedLufs ?? 0) - level)).toBeLessThan(0.1);
    expect(Math.abs((maxMomentaryLufs ?? 0) - level)).toBeLessThan(0.1);
    expect(Math.abs((maxShortTermLufs ?? 0) - level)).toBeLessThan(0.1);
  });

  it('case 9: short-term', () => {
    const { maxShortTermLufs } = figures(
      toneSequence(repeat(5, [stereo(1.34, -20), stereo(1.66, -30)])),
      'stereo',
      2,
    );
    expect(Math.abs((maxShortTermLufs ?? 0) + 23)).toBeLessThan(0.1);
  });

  it.each(twenty)('case 10, file %i: max short-term', (i) => {
    const samples = toneSequence([stereo(0.15 * i, null), stereo(3, -23), stereo(1, null)]);
    expect(Math.abs((figures(samples, 'stereo', 2).maxShortTermLufs ?? 0) + 23)).toBeLessThan(0.1);
  });

  it.each([0, 7, 19])('case 11, part %i: max short-term', (i) => {
    const samples = toneSequence([stereo(0.15 * i, null), stereo(3, -38 + i), stereo(3 - 0.15 * i, null)]);
    expect(Math.abs((figures(samples, 'stereo', 2).maxShortTermLufs ?? 0) - (-38 + i))).toBeLessThan(0.1);
  });

  it('case 12: momentary', () => {
    const { maxMomentaryLufs } = figures(
      toneSequence(repeat(25, [stereo(0.18, -20), stereo(0.22, -30)])),
      'stereo',
      2,
    );
    expect(Math.abs((maxMomentaryLufs ?? 0) + 23)).toBeLessThan(0.1);
  });

  it.each(twenty)('case 13, file %i: max momentary', (i) => {
    const samples = toneSequence([stereo(0.02 * i, null), stereo(0.4, -23), stereo(1, null)]);
    expect(Math.abs((figures(samples, 'stereo', 2).maxMomentaryLufs ?? 0) + 23)).toBeLessThan(0.1);
  });

  it.each(twenty)('case 14, part %i: max momentary', (i) => {
    const samples = toneSequence([
      stereo(0.02 * i, null),
      stereo(0.4, -38 + i),
      stereo(0.4 - 0.02 * i, null),
    ]);
    expect(Math.abs((figures(samples, 'stereo', 2).maxMomentaryLufs ?? 0) - (-38 + i))).toBeLessThan(0.1);
  });
});

describe('EBU Tech 3341 v4 Table 1: true peak, tolerance +0.2/-0.4 dB', () => {
  const tones: [string, number, number, number, number][] = [
    ['15', 4, 0.5, 0, -6],
    ['16', 4, 0.5, 45, -6],
    ['17', 6, 0.5, 60, -6],
    ['18', 8, 0.5, 67.5, -6],
    ['19', 4, 1.41, 45, 3],
  ];
  for (const sampleRate of [44_100, 48_000, 96_000, 192_000]) {
    it.each(tones)(`case %s at ${sampleRate} Hz`, (_, divisor, amplitude, degrees, expected) => {
      const { truePeakDbtp } = figures(
        peakTone(sampleRate, divisor, amplitude, degrees),
        'mono',
        1,
        sampleRate,
      );
      expect(truePeakDbtp).toBeGreaterThan(expected - 0.4);
      expect(truePeakDbtp).toBeLessThan(expected + 0.2);
    });
  }
  it.each([0, 1, 2, 3])('case 20 to 23: decimated from sample %i', (offset) => {
    const { truePeakDbtp } = figures(hiddenPeak(48_000, offset), 'mono', 1);
    expect(truePeakDbtp).toBeGreaterThan(-0.4);
    expect(truePeakDbtp).toBeLessThan(0.2);
  });
});

describe('EBU Tech 3342 v4 Table 1: loudness range, tolerance 1 LU', () => {
  it.each([
    [[-20, -30], 10],
    [[-20, -15], 5],
    [[-40, -20], 20],
    [[-50, -35, -20, -35, -50], 15],
  ])('20 s each of %j dBFS', (levels, expected) => {
    const { loudnessRange } = figures(toneSequence(levels.map((level) => stereo(20, level))), 'stereo', 2);
    expect(Math.abs((loudnessRange ?? 0) - expected)).toBeLessThan(1);
  });
});

describe('ITU-R BS.1770-5 Annex 1', () => {
  it.each([44_100, 48_000, 88_200, 96_000, 192_000])(
    '0 dBFS at 997 Hz on one front channel reads -3.01 LKFS, %i Hz',
    (sampleRate) => {
      const { integratedLufs } = figures(
        toneSequence([{ seconds: 2, levels: [0] }], sampleRate, 997),
        'mono',
        1,
        sampleRate,
      );
      expect(Math.abs((integratedLufs ?? 0) + 3.0103)).toBeLessThan(0.01);
    },
  );

  const extra: [string, Float32Array, string, number, number, number][] = [
    ['left only at -23 dBFS', toneSequence([{ seconds: 5, levels: [-23, null] }]), 'stereo', 2, -26.01, 0.05],
    ['mono at -23 dBFS', toneSequence([{ seconds: 5, levels: [-23] }]), 'mono', 1, -26.01, 0.05],
    ['60 Hz at -23 dBFS', toneSequence([stereo(5, -23)], 48_000, 60), 'stereo', 2, -26.59, 0.15],
    ['8 kHz at -23 dBFS', toneSequence([stereo(5, -23)], 48_000, 8_000), 'stereo', 2, -19.65, 0.15],
    [
      '60 s at -23, 10 s at -32 dBFS',
      toneSequence([stereo(60, -23), stereo(10, -32)]),
      'stereo',
      2,
      -23.58,
      0.05,
    ],
    [
      '-65 then -72 dBFS: absolute gate',
      toneSequence([stereo(20, -65), stereo(20, -72)]),
      'stereo',
      2,
      -65.0,
      0.1,
    ],
  ];
  it.each(extra)('%s (calc)', (_, samples, layout, channels, expected, tolerance) => {
    expect(Math.abs((figures(samples, layout, channels).integratedLufs ?? 0) - expected)).toBeLessThan(
      tolerance,
    );
  });

  it('left and right in opposite phase read as in phase (calc)', () => {
    const samples = toneSequence([stereo(5, -23)]).map((v, i) => (i % 2 === 0 ? v : -v));
    expect(Math.abs((figures(samples, 'stereo', 2).integratedLufs ?? 0) + 23)).toBeLessThan(0.05);
  });

  it('leaves low-frequency effects out (Annex 1; BS.2217: LFE alone has no loudness)', () => {
    const lfeOnly = toneSequence([{ seconds: 2, levels: [null, null, null, -10, null, null] }], 48_000, 100);
    const { integratedLufs, samplePeakDbfs } = figures(lfeOnly, '5.1', 6);
    expect(integratedLufs).toBeNull();
    expect(samplePeakDbfs).toBeCloseTo(-10, 1);
  });
});
