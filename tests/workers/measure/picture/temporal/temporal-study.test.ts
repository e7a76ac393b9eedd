import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { frameClock } from '../../../../../workers/measure/figures/frame-ranges.js';
import { cellGrid } from '../../../../../workers/measure/picture/kernel/frame-features.js';
import { CellLikeness, cellPixels } from '../../../../../workers/measure/picture/temporal/cell-likeness.js';
import {
  narrowestSpan,
  samplesBetween,
} from '../../../../../workers/measure/picture/temporal/histogram-shares.js';
import { TEMPORAL_COLUMNS } from '../../../../../workers/measure/picture/temporal/temporal-columns.js';
import { temporalFigures } from '../../../../../workers/measure/picture/temporal/temporal-figures.js';
import { BLACK, Clip, type Frame, flat, frames, matted, RASTER, shot } from './watch-clip.js';

describe('columns of a frame', () => {
  it('the first frame has no change; everything else has its value', () => {
    const columns = new Clip([shot(1)]).columns();
    const absent = [
      'changeMean',
      'changeMost',
      'changeSpread',
      'cellChange1',
      'cellChange2',
      'cellChange3',
      'cellDrift',
      'unlike',
      'brightened',
    ];
    for (const name of TEMPORAL_COLUMNS)
      expect(Number.isNaN(columns[name][0]), name).toBe(absent.includes(name));
  });
  it('changes are fractions of the range', () => {
    // 10 bits: 0.5 is code 502, 0.6 is 590 (589.6): 88 of 876 codes.
    const half: Frame = (x) => (x < 48 ? 0.6 : 0.5);
    const columns = new Clip([flat(0.5), half, flat(0.5)]).columns();
    for (const frame of [1, 2]) {
      expect(columns.changeMean[frame]).toBeCloseTo(44 / 876, 9);
      expect(columns.changeMost[frame]).toBeCloseTo(88 / 876, 9);
      expect(columns.cellChange1[frame]).toBeCloseTo(44 / 876, 9);
    }
    expect(columns.cellChange2[2]).toBe(0);
    expect([columns.brightened[1], columns.brightened[2]]).toEqual([1, 0]);
    expect(columns.mean[0]).toBeCloseTo(0.5, 9);
    expect(columns.mean[1]).toBeCloseTo(0.5 + 44 / 876, 9);
  });
  it('areas count from the limits: dark to 10.5 %, bright above 25 %', () => {
    // 10 bits: 25 % is code 283 exactly. A quarter each of codes 155, 156, 283, 284.
    const quarters: Frame = (x) => ([155, 156, 283, 284][Math.floor(x / 24)] ?? 0) / 876 - 64 / 876;
    const columns = new Clip([quarters]).columns();
    expect(columns.darkArea[0]).toBe(0.25);
    expect(columns.brightArea[0]).toBe(0.25);
  });
  it('bars are lines from each edge at or below 3 %, and say whether they end sharply', () => {
    const clip = new Clip([matted(shot(1), { top: 5, left: 7, right: 2 }), BLACK]);
    const { barTop, barBottom, barLeft, barRight, sharpEdges, darkInside } = clip.columns();
    expect([barTop[0], barBottom[0], barLeft[0], barRight[0]]).toEqual([5, 0, 7, 2]);
    expect([sharpEdges[0], darkInside[0]]).toEqual([15, 0]);
    expect([barTop[1], barBottom[1], barLeft[1], barRight[1], darkInside[1]]).toEqual(
      Array(5).fill(Number.NaN),
    );
  });
});

describe('measured in parts', () => {
  it('columns and figures are those of the whole, wherever the seam lies', () => {
    const part = (seed: number, count: number): Frame[] => frames(count, (n) => shot(seed, n));
    const clip = new Clip(
      [
        ...part(1, 9),
        BLACK,
        ...part(2, 1),
        ...frames(14, () => shot(3)),
        ...part(4, 3).map((f) => matted(f, { left: 20, right: 20 })),
      ],
      { width: 48, height: 27 },
    );
    const whole = clip.columns();
    fc.assert(
      fc.property(fc.integer({ min: 1, max: clip.planes.length - 1 }), (seam) => {
        const [first, second] = [clip.columns(0, seam), clip.columns(seam, clip.planes.length, 12)];
        for (const name of TEMPORAL_COLUMNS)
          expect([...first[name], ...second[name]], name).toEqual([...whole[name]]);
      }),
      { numRuns: 12 },
    );
  });
});

describe('parts of it', () => {
  const histogram = fc
    .array(fc.integer({ min: 0, max: 9 }), { minLength: 1, maxLength: 40 })
    .map((a) => Uint32Array.from(a));
  it('the narrowest span holds its share, and none narrower does', () => {
    fc.assert(
      fc.property(histogram, fc.double({ min: 0.01, max: 1, noNaN: true }), (counts, share) => {
        const total = counts.reduce((a, b) => a + b, 0);
        const span = narrowestSpan(
          counts,
          share,
          Float64Array.from(counts, (_, code) => code / counts.length),
        );
        if (total === 0) {
          expect(span).toBeNull();
          return;
        }
        const widths = Array.from(counts, (_, from) => {
          for (let to = from; to < counts.length; to++) {
            if (samplesBetween(counts, from, to) >= total * share - 1e-6) return to - from;
          }
          return Number.POSITIVE_INFINITY;
        });
        expect(span && span.to - span.from).toBe(Math.min(...widths));
      }),
    );
  });
  it('cells cover the picture once, to the last cut one', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1100 }), fc.integer({ min: 1, max: 60 }), (width, height) => {
        const pixels = cellPixels(cellGrid(width, height), width, height);
        expect(pixels.reduce((a, b) => a + b, 0)).toBe(width * height);
        expect(Math.min(...pixels)).toBeGreaterThan(0);
      }),
    );
  });
  it('a picture is like itself, lit more or less; not like another', () => {
    const levels = { black: 90, range: 876, topCode: 1023 };
    const pixels = new Uint16Array(400).fill(64);
    const cells = (at: (i: number) => number): Uint32Array =>
      Uint32Array.from(pixels, (n, i) => n * (64 + 876 * at(i)));
    const pattern = (seed: number) => (i: number) => Number(shot(seed)((i % 20) * 8, Math.floor(i / 20) * 8));
    const likeness = new CellLikeness(pixels, levels);
    const a = cells(pattern(1));
    expect(likeness.compare(a, a).unlike).toBe(0);
    expect(
      likeness.compare(
        cells((i) => pattern(1)(i) * 0.5),
        a,
      ).unlike,
    ).toBeLessThan(0.01);
    for (const seed of [2, 3, 4, 5])
      expect(likeness.compare(cells(pattern(seed)), a).unlike).toBeGreaterThan(0.5);
    expect(
      likeness.compare(
        cells(() => 0),
        a,
      ).unlike,
    ).toBeGreaterThan(0.9);
    expect(
      likeness.compare(
        cells(() => 0),
        cells(() => 0),
      ).unlike,
    ).toBe(0);
  });
  it('figures of no frame at all', () => {
    const none = temporalFigures(new Clip([]).columns(), RASTER, frameClock(null, null));
    expect(none).toMatchObject({
      black: { places: 0 },
      shortShot: { cuts: 0 },
      activePicture: { area: null },
    });
  });
});
