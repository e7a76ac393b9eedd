import { describe, expect, it } from 'vitest';
import { ramp } from '../../../signal/pattern/ramp.js';

/** The codes of a row of one channel: R, G, B in this order. */
const row = ({ planes, width }: ReturnType<typeof ramp>, channel: number, y: number): number[] => [
  ...(planes[channel] ?? []).slice(y * width, (y + 1) * width),
];
const upTo = (count: number, step = 1, from = 0): number[] =>
  Array.from({ length: count }, (_, i) => from + i * step);
const NONE = (width: number): number[] => upTo(width, 0);

// Expected codes are counted: every code once from left to right, a row after the other.
describe('ramps', () => {
  it('of every code in one row, in bands of grey, red, green and blue', () => {
    const picture = ramp({ width: 1024, height: 8, depth: 10 });
    expect(picture.title).toBe('Ramps of every 10-bit code: grey, red, green, blue');
    expect(picture.source).toBe('every code value, in order');
    const lit = [[0, 1, 2], [0], [1], [2]];
    for (const [band, channels] of lit.entries()) {
      for (const channel of [0, 1, 2]) {
        const expected = channels.includes(channel) ? upTo(1024) : NONE(1024);
        expect(row(picture, channel, 2 * band), `${band} ${channel}`).toEqual(expected);
        expect(row(picture, channel, 2 * band + 1)).toEqual(expected);
      }
    }
  });

  it('of every code in two rows; where a band has a spare row, it repeats the second', () => {
    const picture = ramp({ width: 512, height: 9, depth: 10 });
    expect(picture.title).toContain('every 10-bit code');
    expect(row(picture, 0, 0)).toEqual(upTo(512));
    expect(row(picture, 0, 1)).toEqual(upTo(512, 1, 512));
    expect(row(picture, 2, 7)).toEqual(upTo(512, 1, 512));
    expect(row(picture, 2, 8)).toEqual(upTo(512, 1, 512));
    expect(row(picture, 0, 8)).toEqual(NONE(512));
  });

  it('of every second code where there is no room for all, and says so', () => {
    const picture = ramp({ width: 256, height: 8, depth: 10 });
    expect(picture.title).toBe('Ramps of 512 of the 1024 codes of 10 bits: grey, red, green, blue');
    expect(picture.source).toBe('code values in order, evenly left out');
    expect(row(picture, 0, 0)).toEqual(upTo(256, 2));
    expect(row(picture, 0, 1)).toEqual(upTo(256, 2, 512));
  });

  it('of a picture with fewer rows than bands, which shows only some of the bands', () => {
    const picture = ramp({ width: 16, height: 2, depth: 8 });
    expect(row(picture, 0, 0)).toEqual(upTo(16, 16));
    expect(row(picture, 0, 1)).toEqual(NONE(16));
    expect(row(picture, 1, 1)).toEqual(upTo(16, 16));
    expect(row(picture, 2, 1)).toEqual(NONE(16));
  });
});
