import { describe, expect, it } from 'vitest';
import { MOST_POINTS } from '../../../../jobs/measurement/measured-curves.js';
import { LoudnessCurve } from '../../../../workers/measure/sound/loudness-curve.js';
import { SoundMeter } from '../../../../workers/measure/sound/sound-meter.js';
import { stereo, toneSequence } from '../../../standards/tone.js';

/** Mean square of a loudness: BS.1770-5 Annex 1, equation 2, the other way round. */
const meanSquare = (lufs: number): number => 10 ** ((lufs + 0.691) / 10);

/*
 * EBU Tech 3341 v4 Table 1, cases 1 and 2: a stereo 1 kHz sine of -23 dBFS a channel reads -23.0 LUFS, of -33
 * dBFS -33.0, within 0.1 LU, for as long as it lasts.
 */
describe('a sine of -33 dBFS for 5 s, then of -23 dBFS for 5 s', () => {
  const meter = new SoundMeter({ sampleRate: 48_000, channels: 2, layout: 'stereo' });
  meter.push(toneSequence([stereo(5, -33), stereo(5, -23)]));
  const { curve, maxMomentaryLufs, maxShortTermLufs } = meter.finish();
  const near = (value: number | null | undefined, lufs: number): void =>
    expect(Math.abs((value ?? 0) - lufs)).toBeLessThan(0.1);

  it('has a point every 100 ms', () => {
    expect(curve.secondsPerPoint).toBe(0.1);
    expect(curve.momentary).toHaveLength(100);
    expect(curve.shortTerm).toHaveLength(100);
  });
  it('has no point before a whole window has passed', () => {
    expect(curve.momentary.slice(0, 4).map((v) => v === null)).toEqual([true, true, true, false]);
    expect(curve.shortTerm.findIndex((v) => v !== null)).toBe(29);
  });
  it('shows the level of every window that lies within one level', () => {
    // The window of point i ends at (i + 1) / 10 s and is 0.4 s or 3 s long.
    for (let i = 3; i < 50; i++) near(curve.momentary[i], -33);
    for (let i = 53; i < 100; i++) near(curve.momentary[i], -23);
    for (let i = 29; i < 50; i++) near(curve.shortTerm[i], -33);
    for (let i = 79; i < 100; i++) near(curve.shortTerm[i], -23);
  });
  it('shows the mean power of both levels in a window across the step', () => {
    // 1.5 s of each in the short-term window that ends at 6.5 s.
    const half = (meanSquare(-33) + meanSquare(-23)) / 2;
    near(curve.shortTerm[64], -0.691 + 10 * Math.log10(half));
  });
  it('is highest where the maximum is', () => {
    const highest = (values: readonly (number | null)[]): number => Math.max(...values.map((v) => v ?? -99));
    expect(highest(curve.momentary)).toBeCloseTo(maxMomentaryLufs ?? 0, 2);
    expect(highest(curve.shortTerm)).toBeCloseTo(maxShortTermLufs ?? 0, 2);
  });
});

describe('points', () => {
  const curveOf = (columns: number, momentary: (column: number) => number | null) => {
    const curve = new LoudnessCurve();
    for (let column = 0; column < columns; column++) curve.add(column, momentary(column), null);
    return curve.points;
  };
  it.each([
    [0, 0, 0.1],
    [1, 1, 0.1],
    [MOST_POINTS, MOST_POINTS, 0.1],
    [MOST_POINTS + 1, MOST_POINTS / 2 + 1, 0.2],
    // Two hours.
    [72_000, 2000, 3.6],
    // Ten hours and a tenth of a second.
    [360_001, 1989, 18.1],
  ])('of %i columns are %i, each of %f s', (columns, points, seconds) => {
    const { momentary, shortTerm, secondsPerPoint } = curveOf(columns, () => meanSquare(-23));
    expect(momentary).toHaveLength(points);
    expect(shortTerm).toHaveLength(points);
    expect(secondsPerPoint).toBe(seconds);
    expect(momentary.every((value) => value === -23)).toBe(true);
    expect(shortTerm.every((value) => value === null)).toBe(true);
  });
  it('hold the loudest value of their columns: one loud tenth of a second in two hours is seen', () => {
    const { momentary } = curveOf(72_000, (column) => meanSquare(column === 50_000 ? -10 : -40));
    expect(momentary.filter((value) => value === -10)).toHaveLength(1);
    // 36 columns to a point.
    expect(momentary[Math.floor(50_000 / 36)]).toBe(-10);
  });
});
