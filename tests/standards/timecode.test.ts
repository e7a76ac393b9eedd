import { describe, expect, test } from 'vitest';
import { parseRational, type Rational, rational } from '../../signal/rational.js';
import {
  formatTimecode,
  frameOfTimecode,
  framesPerDay,
  parseTimecode,
  timecodeOfFrame,
} from '../../signal/timecode.js';
import published from './data/published-values.json' with { type: 'json' };

/** The rule is known from memory of ST 12-1:2014; every count below follows from it by hand. Tolerance 0. */
const R2997 = rational(30000, 1001);
const R5994 = rational(60000, 1001);

function frameOf(label: string, rate: Rational): number {
  const { timecode, reason } = parseTimecode(label, rate);
  if (timecode === null) throw new Error(reason);
  return frameOfTimecode(timecode);
}

describe('ST 12-1:2014: frames in a minute, ten minutes, an hour and a day', () => {
  test.each([
    ['24000/1001', false, 1440, 14400, 86400, 2073600],
    ['24/1', false, 1440, 14400, 86400, 2073600],
    ['25/1', false, 1500, 15000, 90000, 2160000],
    ['30000/1001', false, 1800, 18000, 108000, 2592000],
    ['30/1', false, 1800, 18000, 108000, 2592000],
    ['30000/1001', true, 1800, 17982, 107892, 2589408],
    ['50/1', false, 3000, 30000, 180000, 4320000],
    ['60000/1001', false, 3600, 36000, 216000, 5184000],
    ['60/1', false, 3600, 36000, 216000, 5184000],
    ['60000/1001', true, 3600, 35964, 215784, 5178816],
  ])('%s, drop frame %s', (rateText, dropFrame, minute, tenMinutes, hour, day) => {
    const rate = parseRational(rateText);
    if (rate === null) throw new Error(rateText);
    const mark = dropFrame ? ';' : ':';
    const perMinute = frameOf(`00:00:59${mark}00`, rate) + Math.ceil(rate.num / rate.den);
    expect(perMinute).toBe(minute);
    expect(frameOf(`00:10:00${mark}00`, rate)).toBe(tenMinutes);
    expect(frameOf(`01:00:00${mark}00`, rate)).toBe(hour);
    expect(framesPerDay(rate, dropFrame)).toBe(day);
  });
});

describe.each([
  ['29.97', R2997, published.I.df2997],
  ['59.94', R5994, published.I.df5994],
])('drop-frame labels at %s', (_name, rate, rows) => {
  test.each(rows)('%s is frame %i', (label, frame) => {
    if (typeof label !== 'string' || typeof frame !== 'number')
      throw new Error('the table is not label, frame');
    expect(frameOf(label, rate)).toBe(frame);
    expect(formatTimecode(timecodeOfFrame(frame, rate, true))).toBe(label);
  });
});

test.each([...published.I.invalid2997, '00:21:00;01'])('%s does not exist at 29.97 drop frame', (label) => {
  expect(parseTimecode(label, R2997).reason).toMatch(/drop frame skips/);
});

test.each(['00:01:00;00', '00:01:00;03', '00:59:00;02'])('%s does not exist at 59.94 drop frame', (label) => {
  expect(parseTimecode(label, R5994).reason).toMatch(/begins with frame 4/);
});

/** Every label of 24 hours, walked by the rule itself: count up, skip what minutes skip. */
describe.each([
  ['29.97', R2997, 30, 2],
  ['59.94', R5994, 60, 4],
])('24 hours at %s drop frame, every frame', (_name, rate, nominal, dropped) => {
  test('label by label, and back', () => {
    let frame = 0;
    let wrong = 0;
    for (let minute = 0; minute < 1440; minute++) {
      const first = minute % 10 === 0 ? 0 : dropped;
      for (let inMinute = first; inMinute < 60 * nominal; inMinute++) {
        const timecode = timecodeOfFrame(frame, rate, true);
        if (
          timecode.hours * 60 + timecode.minutes !== minute ||
          timecode.seconds * nominal + timecode.frames !== inMinute ||
          frameOfTimecode(timecode) !== frame
        ) {
          wrong++;
        }
        frame++;
      }
    }
    expect(wrong).toBe(0);
    expect(frame).toBe(framesPerDay(rate, true));
    // 24 h of drop-frame labels are 86.4 ms short of a day.
    expect((frame * rate.den) / rate.num).toBeCloseTo(86399.9136, 9);
  });
});
