import { describe, expect, it } from 'vitest';
import { rational } from '../../../../signal/rational.js';
import { readTimeline } from '../../../../workers/measure/decoding/timeline.js';

const RATES = [
  rational(24000, 1001),
  rational(24),
  rational(25),
  rational(30000, 1001),
  rational(60000, 1001),
  rational(120),
];
/** Ticks a second of the containers: Matroska, MPEG, MOV's usual ones, one that fits nothing. */
const CLOCKS = [1000, 90_000, 600, 12_800, 30_000, 44_100];

describe('constant rate', () => {
  it.each(RATES.flatMap((rate) => CLOCKS.map((clock) => ({ rate, clock }))))(
    '$rate.num/$rate.den on a clock of $clock, an hour and a half long',
    ({ rate, clock }) => {
      const frames = 150_000;
      // The container rounds each frame's place to its clock; BigInt, so that the test has no rounding of its
      // own.
      const ticks = Float64Array.from({ length: frames }, (_, i) => {
        const twice = (2n * BigInt(i) * BigInt(rate.den) * BigInt(clock)) / BigInt(rate.num);
        return 77 + Number((twice + 1n) / 2n);
      });
      const timeBase = rational(1, clock);
      expect(readTimeline(frames, { ticks, timeBase }, rate)).toMatchObject({
        rate,
        constantRate: true,
        gaps: [],
      });
      // More than a tick off is no rounding, and more than 1 % of a frame no jitter.
      ticks[100_000] = (ticks[100_000] ?? 0) + Math.max(2, Math.ceil((0.015 * clock * rate.den) / rate.num));
      expect(readTimeline(frames, { ticks, timeBase }, rate).constantRate).toBe(false);
    },
  );

  it('a drift of one frame in a thousand is not constant', () => {
    const ticks = Float64Array.from({ length: 2000 }, (_, i) => Math.round(i * 40.04));
    expect(readTimeline(2000, { ticks, timeBase: rational(1, 1000) }, rational(25)).constantRate).toBe(false);
  });

  it('is unknown without time stamps, without a rate, or when they do not match the frames', () => {
    const stamps = { ticks: new Float64Array([0, 40]), timeBase: rational(1, 1000) };
    expect(readTimeline(2, null, rational(25))).toEqual({
      rate: rational(25),
      constantRate: null,
      durationSeconds: 0.08,
      gaps: [],
    });
    expect(readTimeline(2, stamps, null)).toMatchObject({
      rate: rational(25),
      durationSeconds: 0.08,
      gaps: [],
    });
    expect(readTimeline(3, stamps, rational(25)).constantRate).toBeNull();
    expect(readTimeline(0, null, null)).toEqual({
      rate: null,
      constantRate: null,
      durationSeconds: 0,
      gaps: [],
    });
  });
});

describe('gaps', () => {
  it('are found by the usual frame distance, though the declared rate is the mean', () => {
    const ticks = new Float64Array([0, 40, 80, 160, 200, 240]);
    const { rate, gaps, constantRate, durationSeconds } = readTimeline(
      6,
      { ticks, timeBase: rational(1, 1000) },
      rational(150, 7),
    );
    expect(constantRate).toBe(false);
    expect(gaps).toEqual([
      { kind: 'timestamp-gap', frame: 3, detail: '2 frames after the previous one, by its time stamp' },
    ]);
    expect(rate).toEqual(rational(25));
    expect(durationSeconds).toBeCloseTo(0.28, 9);
  });
});
