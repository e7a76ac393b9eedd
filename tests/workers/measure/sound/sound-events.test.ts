import { describe, expect, it } from 'vitest';
import type { AudioMeasurement } from '../../../../jobs/measurement/measurement.js';
import { parseRational } from '../../../../signal/rational.js';
import { frameClock } from '../../../../workers/measure/figures/frame-ranges.js';
import { soundEvents } from '../../../../workers/measure/sound/sound-events.js';
import { soundFrames } from '../../../../workers/measure/sound/sound-place.js';
import { SOUND } from '../../judge/measured.js';
import { bothChannels, CONTENT, outOfPhase, quietAt } from '../../judge/measured-sound.js';

const events = (change: Partial<AudioMeasurement>, rate = '25/1') =>
  soundEvents({ ...SOUND, ...change }, frameClock('10:00:00:00', rate), parseRational(rate)).map(
    ({ kind, from, to, detail }) => ({ kind, from, to, detail }),
  );

describe('soundEvents', () => {
  it('a faultless stream has none, and neither has one that was not measured', () => {
    expect(events({})).toEqual([]);
    expect(events({ content: null })).toEqual([]);
  });
  it('silence of a second and more, with its length and level', () => {
    const content = { ...CONTENT, quiet: quietAt(-60, [0, 0.99], [2, 3]) };
    expect(events({ content })).toEqual([
      {
        kind: 'silence',
        from: 50,
        to: 75,
        detail:
          'stream 1, at 2.000 s: all channels at or below -60 dBFS for 1.000 s, highest sample -60.00 dBFS',
      },
    ]);
  });
  it('channels out of phase', () => {
    expect(events({ content: outOfPhase(-0.5, [1, 1.9], [4, 6]) })).toEqual([
      {
        kind: 'out-of-phase',
        from: 100,
        to: 150,
        detail:
          'stream 1, at 4.000 s: correlation of channel 1 (FL) and channel 2 (FR) below -0.5 for 2.000 s',
      },
    ]);
  });
  it('clipping of both channels at once is one event', () => {
    const places = [{ from: 48_000, to: 48_010, runs: 2 }];
    const content = bothChannels({ clipping: { runs: 2, samples: 7, longest: 4, places } });
    expect(events({ content })).toEqual([
      {
        kind: 'clipping',
        from: 25,
        to: 26,
        detail: 'stream 1, at 1.000 s: channel 1 (FL), channel 2 (FR), 4 runs of full-scale samples',
      },
    ]);
  });
  it('line-up tone', () => {
    const content = bothChannels({ tone: { from: 0, to: 480_000, levelDbfs: -18 } });
    expect(events({ content }).map(({ kind, to }) => [kind, to])).toEqual([
      ['line-up-tone', 250],
      ['line-up-tone', 250],
    ]);
  });
});

describe('soundFrames', () => {
  const at = (
    from: number,
    to: number,
    startSeconds: number | null,
    rate: string | null,
    sampleRate = 48_000,
  ) => soundFrames({ from, to }, { sampleRate, startSeconds }, rate === null ? null : parseRational(rate));
  it.each([
    // 1920 samples to a frame of 25 frames/s.
    ['the first sample', at(0, 1, null, '25/1'), { from: 0, to: 1 }],
    ['the last sample of a frame', at(1919, 1920, null, '25/1'), { from: 0, to: 1 }],
    ['the first of the next', at(1920, 1921, null, '25/1'), { from: 1, to: 2 }],
    ['one of each', at(1919, 1921, null, '25/1'), { from: 0, to: 2 }],
    // At 30000/1001 five frames last 8008 samples (SMPTE ST 299, from memory; 48000 * 1001 / 30000 = 1601.6).
    ['five frames of 29.97', at(0, 8008, 0, '30000/1001'), { from: 0, to: 5 }],
    ['and a sample', at(0, 8009, 0, '30000/1001'), { from: 0, to: 6 }],
    [
      'hours into 29.97',
      at(48_000 * 1001 * 10, 48_000 * 1001 * 10 + 1, 0, '30000/1001'),
      { from: 300_000, to: 300_001 },
    ],
    ['sound that begins two frames late', at(0, 1920, 0.08, '25/1'), { from: 2, to: 3 }],
    ['sound that begins before the picture', at(0, 1920, -0.08, '25/1'), { from: 0, to: 1 }],
    ['without picture, whole seconds', at(48_000, 96_001, 0.5, null), { from: 1, to: 3 }],
    ['at 44.1 kHz', at(44_100, 88_200, 0, '24/1', 44_100), { from: 24, to: 48 }],
  ])('%s', (_, found, expected) => {
    expect(found).toEqual(expected);
  });
});
