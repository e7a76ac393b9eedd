import { describe, expect, it } from 'vitest';
import { localDay } from '../../../jobs/verdict/waivers.js';

describe('localDay', () => {
  const at = (zone: string, instant: string): string => {
    const before = process.env.TZ;
    process.env.TZ = zone;
    try {
      return localDay(new Date(instant));
    } finally {
      if (before === undefined) delete process.env.TZ;
      else process.env.TZ = before;
    }
  };
  // Offsets of the zones by the tz database, from memory: Berlin +1/+2 (changes 29 March and 25 October
  // 2026), Kiritimati +14, Honolulu -10.
  it.each([
    ['UTC', '2026-11-25T23:59:59.999Z', '2026-11-25'],
    ['UTC', '2026-11-26T00:00:00.000Z', '2026-11-26'],
    ['Europe/Berlin', '2026-11-25T23:00:00.000Z', '2026-11-26'],
    ['Europe/Berlin', '2026-11-25T22:59:59.999Z', '2026-11-25'],
    ['Europe/Berlin', '2026-03-29T21:59:59.999Z', '2026-03-29'],
    ['Europe/Berlin', '2026-03-29T22:00:00.000Z', '2026-03-30'],
    ['Europe/Berlin', '2026-10-24T22:00:00.000Z', '2026-10-25'],
    ['Europe/Berlin', '2026-10-25T22:59:59.999Z', '2026-10-25'],
    ['Europe/Berlin', '2026-10-25T23:00:00.000Z', '2026-10-26'],
    ['Pacific/Kiritimati', '2026-11-25T10:00:00.000Z', '2026-11-26'],
    ['Pacific/Honolulu', '2026-11-25T09:59:59.999Z', '2026-11-24'],
  ])('in %s at %s', (zone, instant, day) => {
    expect(at(zone, instant)).toBe(day);
  });
});
