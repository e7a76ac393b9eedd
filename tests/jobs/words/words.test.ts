import { describe, expect, it } from 'vitest';
import { count, fixed, grouped, signed, significant } from '../../../jobs/words/numbers.js';
import { firstPlace, placeList, placesText, placeText, startText } from '../../../jobs/words/places.js';
import {
  bitRate,
  bytes,
  code,
  level,
  percent,
  progressPercent,
  quantity,
  stops,
  UNIT_NAMES,
} from '../../../jobs/words/quantities.js';
import { duration, estimate, moment } from '../../../jobs/words/times.js';

/** Rounding is arithmetic; how a figure is set is our own rule, so these tables have no outside source. */
const INFINITE = Number.POSITIVE_INFINITY;

describe('numbers', () => {
  it.each([
    [1.005, 1, '1.0'],
    [-0.004, 2, '0.00'],
    [-0, 1, '0.0'],
    [-0.5, 0, '-1'],
    [-23.016, 2, '-23.02'],
    [INFINITE, 2, 'inf'],
    [-INFINITE, 2, '-inf'],
    [Number.NaN, 2, 'unknown'],
  ])('%s with %s decimals', (value, digits, text) => expect(fixed(value, digits)).toBe(text));

  it.each([
    [0.5, '+0.5'],
    [-0.5, '-0.5'],
    [0, '0.0'],
    [0.04, '0.0'],
    [-0.04, '0.0'],
    [INFINITE, '+inf'],
    [-INFINITE, '-inf'],
  ])('%s with its sign', (value, text) => expect(signed(value, 1)).toBe(text));

  it.each([
    [1000.04, '1000'],
    [0.000_000_123_456, '0.00000012346'],
    [-0.000_000_1, '-0.0000001'],
    [-0, '0'],
    [99_999.6, '100000'],
    [-INFINITE, '-inf'],
  ])('%s with five digits', (value, text) => expect(significant(value, 5)).toBe(text));

  it.each([
    [0, '0 frames'],
    [1, '1 frame'],
    [999, '999 frames'],
    [90_000, '90,000 frames'],
  ])('%s frames', (value, text) => expect(count(value, 'frame')).toBe(text));

  it('other plurals, and no sign of nothing', () => {
    expect(count(2, 'flash', 'flashes')).toBe('2 flashes');
    expect([grouped(-0), grouped(4.5)]).toEqual(['0', '4.5']);
    expect(grouped(INFINITE)).toBe('inf');
  });
});

describe('quantities', () => {
  it.each([
    [null, 'LUFS', 'none'],
    [-23.016, 'LUFS', '-23.02 LUFS'],
    [-INFINITE, 'dBFS', '-inf dBFS'],
    [-0.001, 'dBTP', '0.00 dBTP'],
    [2, 's', '2.000 s'],
    [48_000, 'Hz', '48000 Hz'],
    [203.456_7, 'cd/m²', '203.46 cd/m²'],
    [10_000, 'cd/m²', '10000 cd/m²'],
    [0.0001, 'cd/m²', '0.0001 cd/m²'],
  ] as const)('%s %s', (value, unit, text) => expect(quantity(value, unit)).toBe(text));

  it('writes no unit with a negative zero or an exponent', () => {
    for (const unit of UNIT_NAMES)
      for (const value of [-0, -1e-12, 1e-12, 1e20])
        expect(quantity(value, unit)).not.toMatch(/^-0[.0]* |e[+-]/);
  });

  it.each([
    [0, '0 %'],
    [1, '100 %'],
    [0.0123, '1.23 %'],
    [0.123_45, '12.35 %'],
    [0.000_05, '0.005 %'],
    [0.000_004_376, '0.0004 %'],
    [1e-9, 'under 0.0001 %'],
    [-0, '0 %'],
  ])('%s as percent', (fraction, text) => expect(percent(fraction)).toBe(text));

  it.each([
    [0, '0 %'],
    [0.999, '99 %'],
    [1, '100 %'],
  ])('%s of the work', (fraction, text) => expect(progressPercent(fraction)).toBe(text));

  // BT.709-6 and BT.2100: nominal black and white at 10 bits are 64 and 940, at 8 bits 16 and 235.
  it.each([
    [64, 10, '64 (0.0 %)'],
    [63.99, 10, '64 (0.0 %)'],
    [940, 10, '940 (100.0 %)'],
    [984, 10, '984 (105.0 %)'],
    [235, 8, '235 (100.0 %)'],
    [0, 10, '0 (-7.3 %)'],
  ])('code %s at %s bits', (value, depth, text) => expect(level(value, depth)).toBe(text));

  it('codes between codes', () => expect([code(64), code(64.25), code(-0.01)]).toEqual(['64', '64.3', '0']));

  it.each([
    [0, '0 B'],
    [999, '999 B'],
    [1000, '1.00 kB'],
    [999_499, '999 kB'],
    [999_600, '1.00 MB'],
    [1_400_000_000, '1.40 GB'],
    [999_500_000_000, '1.00 TB'],
    [12.3e15, '12.3 PB'],
    [4.2e18, '4,200 PB'],
  ])('%s bytes', (value, text) => expect(bytes(value)).toBe(text));

  it('rates and stops', () => {
    expect(bitRate(64_000)).toBe('0.064 Mbit/s');
    expect(bitRate(176_123_456)).toBe('176.1 Mbit/s');
    expect([stops(0.5), stops(-1), stops(0)]).toEqual(['+0.5 stops', '-1 stop', '0 stops']);
  });
});

describe('times', () => {
  it.each([
    [0, '0.000 s'],
    [2.4, '2.400 s'],
    [9.9994, '9.999 s'],
    [9.9996, '10.0 s'],
    [59.94, '59.9 s'],
    [59.96, '1 min 0 s'],
    [200, '3 min 20 s'],
    [3599.6, '1 h 0 min 0 s'],
    [3723, '1 h 2 min 3 s'],
    [-0.021, '-0.021 s'],
    [INFINITE, 'inf s'],
  ])('%s s', (seconds, text) => expect(duration(seconds)).toBe(text));

  it.each([
    [0.2, '0 s'],
    [-3, '0 s'],
    [59.6, '1 min 0 s'],
    [3599.6, '1 h 0 min'],
    [7530, '2 h 5 min'],
  ])('about %s s', (seconds, text) => expect(estimate(seconds)).toBe(text));

  it('moments', () => {
    const zone = process.env['TZ'];
    try {
      for (const [TZ, words] of [
        ['UTC', '2026-11-25 20:04 UTC'],
        ['Europe/Berlin', '2026-11-25 21:04 UTC+1'],
        ['Asia/Kolkata', '2026-11-26 01:34 UTC+5:30'],
        ['America/St_Johns', '2026-11-25 16:34 UTC-3:30'],
      ] as const) {
        process.env['TZ'] = TZ;
        expect(moment('2026-11-25T20:04:59.000Z')).toBe(words);
      }
    } finally {
      if (zone === undefined) delete process.env['TZ'];
      else process.env['TZ'] = zone;
    }
    expect(moment('yesterday')).toBe('yesterday');
  });
});

describe('places, half open as an edit list counts', () => {
  const range = { from: 25, to: 30, fromTimecode: '10:00:01:00', toTimecode: '10:00:01:05' };
  const bare = { from: 25, to: 30, fromTimecode: null, toTimecode: null };

  it.each([
    ['a run', range, '10:00:01:00 to 10:00:01:05 (5 frames from frame 25)'],
    ['a run without timecode', bare, '5 frames from frame 25'],
    ['one frame', { ...range, to: 26, toTimecode: '10:00:01:01' }, '10:00:01:00 (frame 25)'],
    ['one frame without timecode', { ...bare, to: 26 }, 'frame 25'],
    ['a long run', { ...bare, to: 90_025 }, '90,000 frames from frame 25'],
  ])('%s', (_, place, text) => expect(placeText(place)).toBe(text));

  it('how many, and the first', () => {
    expect(startText(range)).toBe('10:00:01:00 (frame 25)');
    expect(firstPlace([])).toBe('');
    expect(placesText({ places: 0, ranges: [] })).toBe('none');
    expect(placesText({ places: 2, frames: 1000, ranges: [bare] })).toBe(
      '1,000 frames in 2 places, first at frame 25',
    );
  });

  it('lists', () => {
    expect(placeList({ at: [], everyPlace: true }, 2)).toEqual([]);
    expect(placeList({ at: [bare, bare, bare, bare], everyPlace: false }, 2)).toEqual([
      '5 frames from frame 25',
      '5 frames from frame 25',
      'and 2 more places',
      'and perhaps elsewhere',
    ]);
  });
});
