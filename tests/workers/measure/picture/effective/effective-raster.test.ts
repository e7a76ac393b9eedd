import { describe, expect, it } from 'vitest';
import { effectiveRaster } from '../../../../../workers/measure/picture/effective/raster-figures.js';
import { spectrumAt } from '../../../../../workers/measure/picture/effective/spectrum-study.js';
import { readSpectrum } from '../../../../../workers/measure/picture/effective/spectrum-sums.js';
import {
  gradient,
  type KernelName,
  mix,
  type Plane,
  plane,
  quantise,
  texture,
  throughFewer,
  throughFewerBothWays,
  titles,
} from './chroma-planes.js';
import { planOf, spectraOf } from './observe.js';

// The truth of every picture here is how it was made: at the size of the raster, or at a smaller one and
// scaled up.
const WIDTH = 480;
const HEIGHT = 320;
const DEPTH = 10;
const plan = planOf('yuv420p10le', WIDTH, HEIGHT);
const FLAT = new Uint16Array((WIDTH / 2) * (HEIGHT / 2)).fill(512);

const NATURAL = mix([1, texture(WIDTH, HEIGHT, 1, 0.95)], [0.3, titles(WIDTH, HEIGHT, 2)]);

function rasterOf(luma: Plane, grain = 0.5, codec = 'ffv1') {
  const codes = quantise(luma, DEPTH, 140, grain);
  return effectiveRaster(spectraOf(plan, [[codes, FLAT, FLAT]]), plan, codec);
}

describe('raster in use', () => {
  it('all of it', () => {
    expect(rasterOf(NATURAL)).toEqual({ width: WIDTH, height: HEIGHT, confidence: 'high' });
  });

  it.each<KernelName>(['nearest', 'bilinear', 'bicubic', 'lanczos'])('half each way, %s', (up) => {
    const made = throughFewerBothWays(NATURAL, { down: 'bilinear', up, siting: 'mid' });
    expect(rasterOf(made)).toEqual({ width: 240, height: 160, confidence: 'high' });
  });

  it('half across alone', () => {
    const made = throughFewer(NATURAL, { down: 'bilinear', up: 'bicubic', siting: 'mid' });
    expect(rasterOf(made)).toEqual({ width: 240, height: HEIGHT, confidence: 'high' });
  });

  it('half the width alone, coarsely coded: not certain, since the height cannot be judged', () => {
    const made = throughFewer(NATURAL, { down: 'bilinear', up: 'bicubic', siting: 'mid' });
    expect(rasterOf(made, 0.5, 'h264')).toEqual({ width: 240, height: null, confidence: 'low' });
    const both = throughFewerBothWays(NATURAL, { down: 'bilinear', up: 'bicubic', siting: 'mid' });
    expect(rasterOf(both, 0.5, 'h264')).toEqual({ width: 240, height: 160, confidence: 'high' });
  });

  it('half the width alone, nearly hidden by grain, coarsely coded: no statement', () => {
    const made = throughFewer(NATURAL, { down: 'bilinear', up: 'bilinear', siting: 'mid' });
    expect(rasterOf(made, 7, 'ffv1')).toMatchObject({ width: 240, confidence: 'low' });
    expect(rasterOf(made, 7, 'h264')).toEqual({ width: null, height: null, confidence: 'low' });
  });

  describe.each<readonly [number, number, number]>([
    [1.5, 320, 213],
    [4 / 3, 360, 240],
  ])('scaled up by %f', (times, width, height) => {
    it.each<KernelName>(['bilinear', 'bicubic', 'lanczos'])('%s', (up) => {
      const made = throughFewerBothWays(NATURAL, { down: 'bilinear', up, siting: 'mid' }, times);
      expect(rasterOf(made)).toEqual({ width, height, confidence: 'high' });
    });
  });

  // Repeated samples keep detail up to the end of the band: 5 / 4 and 3 / 2 passed as the full raster.
  it.each<readonly [number, number, string, number]>([
    [384, 256, 'ffv1', 0],
    [320, 213, 'ffv1', 0],
    [360, 240, 'prores', 0],
    [384, 256, 'prores', 1],
    [400, 267, 'ffv1', 0.5],
  ])('%f x %f scaled up by the nearest sample, %s, grain %f', (width, height, codec, grain) => {
    const small = mix([1, texture(width, height, 1, 0.95)], [0.3, titles(width, height, 2)]);
    const nearest = plane(
      WIDTH,
      HEIGHT,
      (x, y) =>
        small.values[Math.floor((y * height) / HEIGHT) * width + Math.floor((x * width) / WIDTH)] ?? 0,
    );
    const found = rasterOf(nearest, grain, codec);
    expect(found).toMatchObject({ width, confidence: 'high' });
    expect(Math.abs((found.height ?? 0) - height)).toBeLessThanOrEqual(1);
  });

  it.each<readonly [KernelName, number]>([
    ['nearest', 1.5],
    ['nearest', 4 / 3],
    ['bilinear', 1.2],
    ['lanczos', 1.2],
    ['bicubic', 1.7],
  ])('%s at %f is never called the full raster', (up, times) => {
    const made = throughFewerBothWays(NATURAL, { down: 'bilinear', up, siting: 'mid' }, times);
    const { width, height } = rasterOf(made);
    expect(width).not.toBe(WIDTH);
    expect(height).not.toBe(HEIGHT);
  });

  it.each([
    ['black', plane(WIDTH, HEIGHT, () => -0.4), 0],
    ['a gradient', gradient(WIDTH, HEIGHT), 0],
    ['a gradient under grain', gradient(WIDTH, HEIGHT), 4],
    ['nothing but grain', plane(WIDTH, HEIGHT, () => 0), 12],
  ] as const)('%s: it cannot be told', (_, luma, grain) => {
    expect(rasterOf(luma, grain)).toEqual({ width: null, height: null, confidence: 'low' });
  });

  it('a picture out of focus is not called scaled up', () => {
    for (const soft of [1, 1.5, 2, 3]) {
      const { width, height } = rasterOf(blurred(NATURAL, soft));
      expect([null, WIDTH]).toContain(width);
      expect([null, HEIGHT]).toContain(height);
    }
  });

  // A wavelet without its upper bands is half the raster, scaled up: genuine pictures were accused.
  it('scaled up from half the samples under a wavelet codec: never certain', () => {
    const made = throughFewerBothWays(NATURAL, { down: 'bilinear', up: 'bicubic', siting: 'mid' });
    expect(rasterOf(made, 0.5, 'cfhd')).toEqual({ width: 240, height: 160, confidence: 'low' });
    expect(rasterOf(NATURAL, 0.5, 'cfhd')).toEqual({ width: WIDTH, height: HEIGHT, confidence: 'high' });
  });

  it('strongly compressed: the full raster cannot be proved', () => {
    expect(rasterOf(NATURAL, 0.5, 'h264')).toEqual({ width: null, height: null, confidence: 'low' });
  });

  // BT.709: Y' = 0.2126 R' + 0.7152 G' + 0.0722 B' (BT.709-6, item 3.2). What red and green have of their
  // own cancels in it.
  it('RGB: of its luma, whatever detail the channels have of their own', () => {
    const rgb = planOf('gbrp10le', WIDTH, HEIGHT);
    const made = throughFewerBothWays(NATURAL, { down: 'bilinear', up: 'bicubic', siting: 'mid' });
    const own = texture(WIDTH, HEIGHT, 5, 0.5);
    const channel = (share: number, luma: Plane): Uint16Array =>
      quantise(mix([1, luma], [share, own]), DEPTH, 140);
    const rasterOfRgb = (luma: Plane) => {
      const planes = [channel(-0.1 * (0.2126 / 0.7152), luma), channel(0, luma), channel(0.1, luma)];
      return effectiveRaster(spectraOf(rgb, [planes]), rgb, 'ffv1');
    };
    expect(rasterOfRgb(made)).toEqual({ width: 240, height: 160, confidence: 'high' });
    expect(rasterOfRgb(NATURAL)).toEqual({ width: WIDTH, height: HEIGHT, confidence: 'high' });
  });

  // Detail counts from 20 dB above rounding to whole codes, whose variance is 1/12: white grain of a variance
  // of 100/12, 2.9 codes.
  it('grain is detail from 2.9 codes on', () => {
    const windowsOf = (grain: number) => {
      const codes = quantise(
        plane(WIDTH, HEIGHT, () => 0),
        DEPTH,
        140,
        grain,
      );
      return readSpectrum(spectrumAt(spectraOf(plan, [[codes, FLAT, FLAT]]), 'lumaAcross')).detail;
    };
    expect(windowsOf(2)).toBe(0);
    expect(windowsOf(Math.sqrt(100 / 12))).toBeGreaterThan(0.25);
    expect(windowsOf(Math.sqrt(100 / 12))).toBeLessThan(0.75);
    expect(windowsOf(4)).toBe(1);
  });

  it('lines of interlaced pictures are not judged', () => {
    const interlaced = planOf('yuv420p10le', WIDTH, HEIGHT, 'interlaced-tff');
    const codes = quantise(NATURAL, DEPTH, 140, 0.5);
    const found = effectiveRaster(spectraOf(interlaced, [[codes, FLAT, FLAT]]), interlaced, 'ffv1');
    expect(found).toEqual({ width: WIDTH, height: null, confidence: 'high' });
  });
});

/** Gaussian blur of `soft` pixels deviation, as a lens out of focus leaves. */
function blurred(from: Plane, soft: number): Plane {
  const reach = Math.ceil(4 * soft);
  const weights = Array.from({ length: 2 * reach + 1 }, (_, i) =>
    Math.exp(-((i - reach) ** 2) / (2 * soft ** 2)),
  );
  const total = weights.reduce((a, b) => a + b, 0);
  const pass = (p: Plane, dx: number, dy: number): Plane =>
    plane(p.width, p.height, (x, y) => {
      let sum = 0;
      weights.forEach((weight, i) => {
        const px = Math.min(Math.max(x + dx * (i - reach), 0), p.width - 1);
        const py = Math.min(Math.max(y + dy * (i - reach), 0), p.height - 1);
        sum += (weight / total) * (p.values[py * p.width + px] ?? 0);
      });
      return sum;
    });
  return pass(pass(from, 1, 0), 0, 1);
}
