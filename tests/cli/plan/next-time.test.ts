import { afterAll, describe, expect, it } from 'vitest';
import { nextTime, parseTimeOfDay } from '../../../cli/plan/next-time.js';

const before = process.env.TZ;
afterAll(() => {
  process.env.TZ = before;
});

/** The next such time in a zone, as UTC. */
function next(zone: string, time: string, now: string): string {
  process.env.TZ = zone;
  return nextTime(parseTimeOfDay(time), new Date(now)).toISOString();
}

describe('the next time of day', () => {
  // Clocks of Berlin are put forward on 2026-03-29 at 01:00 UTC and back on 2026-10-25 at 01:00 UTC
  // (Directive 2000/84/EC: last Sundays of March and October).
  it.each([
    ['before midnight', 'Europe/Berlin', '07:00', '2026-12-01T21:00Z', '2026-12-02T06:00:00.000Z'],
    ['after midnight', 'Europe/Berlin', '07:00', '2026-12-01T23:30Z', '2026-12-02T06:00:00.000Z'],
    ['this very minute', 'Europe/Berlin', '07:00', '2026-12-02T06:00Z', '2026-12-03T06:00:00.000Z'],
    ['midnight itself', 'Europe/Berlin', '00:00', '2026-12-01T22:59Z', '2026-12-01T23:00:00.000Z'],
    ['the last of a year', 'Europe/Berlin', '7:00', '2026-12-31T20:00Z', '2027-01-01T06:00:00.000Z'],
    // That night is an hour shorter: 8 h from 22:00 to 07:00.
    ['clocks put forward', 'Europe/Berlin', '07:00', '2026-03-28T21:00Z', '2026-03-29T05:00:00.000Z'],
    ['a time left out', 'Europe/Berlin', '02:30', '2026-03-28T21:00Z', '2026-03-29T01:30:00.000Z'],
    // That one is an hour longer.
    ['clocks put back', 'Europe/Berlin', '07:00', '2026-10-24T20:00Z', '2026-10-25T06:00:00.000Z'],
    ['a time that comes twice', 'Europe/Berlin', '02:30', '2026-10-24T20:00Z', '2026-10-25T00:30:00.000Z'],
    ['its second coming', 'Europe/Berlin', '02:30', '2026-10-25T00:45Z', '2026-10-25T01:30:00.000Z'],
    ['after both', 'Europe/Berlin', '02:30', '2026-10-25T01:45Z', '2026-10-26T01:30:00.000Z'],
    ['a zone of half an hour', 'Asia/Kolkata', '06:00', '2026-12-01T20:00Z', '2026-12-02T00:30:00.000Z'],
    ['without such clocks', 'UTC', '07:00', '2026-03-28T22:00Z', '2026-03-29T07:00:00.000Z'],
  ])('%s', (_, zone, time, now, expected) => {
    expect(next(zone, time, now)).toBe(expected);
  });

  it.each(['24:00', '7', '07:60', '-1:00', '07:00:00', 'dawn', ''])('"%s" is none', (text) => {
    expect(() => parseTimeOfDay(text)).toThrow(/07:00/);
  });
});
