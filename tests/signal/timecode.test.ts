import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { formatRational, type Rational, rational } from '../../signal/rational.js';
import {
  advanceTimecode,
  formatTimecode,
  frameOfTimecode,
  framesPerDay,
  nominalRate,
  parseTimecode,
  supportsDropFrame,
  timecodeFault,
  timecodeOfFrame,
} from '../../signal/timecode.js';

const RATES: readonly Rational[] = [24, 25, 30, 48, 50, 60, 72, 96, 100, 120].flatMap((nominal) => [
  rational(nominal),
  rational(nominal * 1000, 1001),
]);

describe.each(RATES.map((rate) => ({ rate, name: formatRational(rate) })))('$name', ({ rate }) => {
  const counts = supportsDropFrame(rate) ? [false, true] : [false];

  test('frame number to timecode, to text, and back', () => {
    for (const dropFrame of counts) {
      const day = framesPerDay(rate, dropFrame);
      fc.assert(
        fc.property(fc.integer({ min: 0, max: day - 1 }), (frame) => {
          const timecode = timecodeOfFrame(frame, rate, dropFrame);
          expect(timecodeFault(timecode)).toBeNull();
          expect(frameOfTimecode(timecode)).toBe(frame);
          expect(parseTimecode(formatTimecode(timecode), rate)).toEqual({ timecode, reason: null });
        }),
        { numRuns: 200 },
      );
    }
  });

  test('wraps at midnight both ways', () => {
    for (const dropFrame of counts) {
      const day = framesPerDay(rate, dropFrame);
      const midnight = timecodeOfFrame(0, rate, dropFrame);
      expect(timecodeOfFrame(day, rate, dropFrame)).toEqual(midnight);
      expect(frameOfTimecode(advanceTimecode(midnight, -1))).toBe(day - 1);
      expect(advanceTimecode(advanceTimecode(midnight, -1), 1)).toEqual(midnight);
    }
  });
});

test('timecode counts frames at the nominal rate', () => {
  expect(RATES.map(nominalRate)).toEqual(
    [24, 25, 30, 48, 50, 60, 72, 96, 100, 120].flatMap((rate) => [rate, rate]),
  );
  // 12.5, 1000 and the decimal 29.97 have no time code: a label could not say which frame it means.
  expect(
    [rational(25, 2), rational(1000), rational(121), rational(2997, 100), rational(0), rational(-25)].map(
      nominalRate,
    ),
  ).toEqual(Array(6).fill(null));
});

test('one frame a second is the slowest rate with timecode; a slower one has none', () => {
  expect([rational(1), rational(1000, 1001), rational(1, 2)].map(nominalRate)).toEqual([1, 1, null]);
});

test('timecode is non-drop unless drop frame is stated', () => {
  expect(formatTimecode(timecodeOfFrame(1800, rational(30000, 1001)))).toBe('00:01:00:00');
});

test('an hour of non-drop timecode at 29.97 is 3603.6 s of picture', () => {
  const { timecode } = parseTimecode('01:00:00:00', rational(30000, 1001));
  if (timecode === null) throw new Error('not read');
  expect((frameOfTimecode(timecode) * 1001) / 30000).toBeCloseTo(3603.6, 9);
});

describe('reading timecode as people write it', () => {
  const r25 = rational(25);
  const r2997 = rational(30000, 1001);

  test.each([
    ['10:00:00:24', r25, '10:00:00:24'],
    ['10:00:00;02', r2997, '10:00:00;02'],
    ['10:00:00.02', r2997, '10:00:00;02'],
    ['10;00;00;02', r2997, '10:00:00;02'],
    ['  01:02:03:04 ', r25, '01:02:03:04'],
    ['00:00:00:119', rational(120), '00:00:00:119'],
    ['00:00:00:099', rational(120000, 1001), '00:00:00:099'],
    ['00:00:00:99', rational(100), '00:00:00:99'],
  ])('%s', (text, rate, wanted) => {
    const { timecode, reason } = parseTimecode(text, rate);
    expect(reason).toBeNull();
    expect(timecode && formatTimecode(timecode)).toBe(wanted);
  });

  test.each([
    ['1:00:00:00', r25, /HH:MM:SS:FF/],
    ['', r25, /not a time code/],
    ['10:00:00', r25, /not a time code/],
    ['-1:00:00:00', r25, /not a time code/],
    ['x10:00:00:00', r25, /not a time code/],
    ['10:00:00:00x', r25, /not a time code/],
    ['10:00:00:0001', r25, /not a time code/],
    ['24:00:00:00', r25, /hours 24: 0 to 23/],
    ['23:60:00:00', r25, /minutes 60: 0 to 59/],
    ['23:00:75:00', r25, /seconds 75/],
    ['10:00:00:25', r25, /frames 25: 0 to 24 are allowed at 25\/1/],
    ['10:00:00;00', r25, /drop frame exists at 30000\/1001 and 60000\/1001/],
    ['10:00:00;00', rational(24000, 1001), /drop frame exists/],
    ['10:00:00:00', rational(25, 2), /25\/2 frames a second has no time code/],
  ])('%s is refused with its reason', (text, rate, reason) => {
    expect(parseTimecode(text, rate).timecode).toBeNull();
    expect(parseTimecode(text, rate).reason).toMatch(reason);
  });

  test('an impossible timecode is refused', () => {
    const label = { hours: 0, minutes: 1, seconds: 0, frames: 1, rate: r2997, dropFrame: true };
    expect(() => frameOfTimecode(label)).toThrow(/skips/);
    expect(frameOfTimecode({ ...label, dropFrame: false })).toBe(1801);
    expect(() => frameOfTimecode({ ...label, frames: 1.5, dropFrame: false })).toThrow(/frames 1.5/);
    expect(() => frameOfTimecode({ ...label, minutes: -1, dropFrame: false })).toThrow(/minutes -1: 0 to 59/);
    expect(() => timecodeOfFrame(0.5, r25)).toThrow(/whole number/);
    expect(() => timecodeOfFrame(0, r25, true)).toThrow(/drop frame/);
    expect(() => framesPerDay(rational(121), false)).toThrow(/no time code/);
  });
});
