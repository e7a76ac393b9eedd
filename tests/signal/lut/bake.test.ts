import { describe, expect, it } from 'vitest';
import { applyBaked, bakeRendering, bakeSingleCube } from '../../../signal/lut/bake.js';
import { formatCube, parseCube } from '../../../signal/lut/cube-format.js';
import { applyCube } from '../../../signal/lut/linear-interpolation.js';
import { seeded } from '../../../signal/lut/lut-error.js';
import { makeRendering } from '../../../signal/rendering/make-rendering.js';
import type { RenderingColour } from '../../../signal/rendering/rendering-colour.js';

const S_LOG3: RenderingColour = { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine', range: 'narrow' };
const LOGC4: RenderingColour = { transfer: 'LogC4', primaries: 'AWG4', range: 'full' };
const BT709: RenderingColour = { transfer: 'bt709', primaries: 'bt709', range: 'narrow' };
const PQ: RenderingColour = { transfer: 'smpte2084', primaries: 'bt2020', range: 'narrow' };
const PQ_P3: RenderingColour = { transfer: 'smpte2084', primaries: 'smpte432', range: 'narrow' };
const HLG: RenderingColour = { transfer: 'arib-std-b67', primaries: 'bt2020', range: 'narrow' };

/**
 * Limits in 10-bit codes, for colours the bake itself did not look at. Where a 3D table works from HLG or PQ
 * to SDR and the gamut's edge follows it, a few colours in a thousand at that edge are off by more.
 */
describe('baked steps against double precision', () => {
  it.each([
    { from: S_LOG3, to: BT709, mean: 0.01, p99: 0.05 },
    { from: S_LOG3, to: PQ, mean: 0.1, p99: 0.5 },
    { from: S_LOG3, to: HLG, mean: 0.1, p99: 0.5 },
    { from: LOGC4, to: BT709, mean: 0.01, p99: 0.05 },
    { from: BT709, to: PQ, mean: 0.01, p99: 0.05 },
    { from: PQ, to: BT709, mean: 0.1, p99: 0.5 },
    { from: HLG, to: BT709, mean: 0.1, p99: 0.8 },
    { from: PQ, to: HLG, mean: 0.1, p99: 0.8 },
    { from: HLG, to: PQ, mean: 0.1, p99: 0.5 },
    { from: PQ_P3, to: HLG, mean: 0.1, p99: 0.8 },
  ])('$from.transfer/$from.primaries to $to.transfer/$to.primaries', ({ from, to, mean, p99 }) => {
    const rendering = makeRendering({ from, to });
    const { steps } = bakeRendering(rendering);
    const random = seeded(7);
    const errors = Array.from({ length: 3000 }, () => [random(), random(), random()] as const)
      .flatMap((fraction) => {
        const got = applyBaked(steps, fraction);
        // The rendering's own signal for the same code fraction: narrow curves put 64 and 940 of 1023 on 0
        // and 1.
        const isCode = from.range === 'full' || from.transfer === 'S-Log3';
        const signal = (v: number): number => (isCode ? v : (v * 1023 - 64) / 876);
        const want = rendering.apply([signal(fraction[0]), signal(fraction[1]), signal(fraction[2])]);
        return want.map((v, i) => 876 * Math.abs(clamp(v) - clamp(got[i] ?? Number.NaN)));
      })
      .sort((a, b) => a - b);
    expect(errors.reduce((sum, e) => sum + e, 0) / errors.length).toBeLessThanOrEqual(mean);
    expect(errors[Math.floor(errors.length * 0.99)]).toBeLessThanOrEqual(p99);
  });
});

describe('one cube for other systems', () => {
  it('is exact at its points, and states its error between them', () => {
    const rendering = makeRendering({ from: S_LOG3, to: BT709 });
    const { cube, error } = bakeSingleCube(rendering, 9);
    const read = parseCube(formatCube(cube));
    for (const colour of [
      [0.5, 0.5, 0.5],
      [0.25, 0.75, 0.5],
      [1, 0, 0.125],
    ] as const) {
      const want = rendering.apply(colour);
      for (const [i, v] of applyCube(read, colour).entries()) expect(v).toBeCloseTo(want[i] ?? 0, 7);
    }
    expect(error.worst).toBeGreaterThan(error.mean);
    const comments = read.comments.join(' ');
    expect(comments).toContain('10-bit codes');
    expect(comments).toContain(`after: ${rendering.source}`);
    const { exact, mean, worst } = error;
    expect(comments).toMatch(
      /: \d+(\.\d+)? % within half a code, .* colours that come out between 2 and 98 %/s,
    );
    expect(exact).toBeLessThan(1);
    expect(comments).toContain(`mean ${mean.toFixed(3)}`);
    expect(comments).toContain(`worst ${worst.toFixed(2)}`);
    // Cube LUT Specification 1.0 limits a line to 250 bytes.
    for (const line of formatCube(cube).split('\n')) expect(Buffer.byteLength(line)).toBeLessThanOrEqual(250);
  });
});

function clamp(v: number): number {
  return Math.min(Math.max(v, 0), 1);
}
