import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Colour } from '../../jobs/colour.js';
import { seeded } from '../../signal/lut/lut-error.js';
import type { Vector3 } from '../../signal/matrix3.js';
import {
  chromaPosition,
  decodeChroma,
  decodeLuma,
  encodeChroma,
  encodeLuma,
  lumaPosition,
} from '../../signal/quantise.js';
import { makeRendering } from '../../signal/rendering/make-rendering.js';
import { nominalOfSignal, signalOfNominal } from '../../signal/rendering/rendering-colour.js';
import { rgbToYcbcr, ycbcrToRgb } from '../../signal/ycbcr.js';
import { bakeToFiles } from '../../workers/rendering/bake-files.js';
import { renderSamples } from '../workers/rendering/render-samples.js';

/**
 * The whole way in real files, against the formulas in double precision: the target of the project itself (mean under 0.25
 * and 99.9 % under 1 code at 10 bits). Expected codes come from the known input codes and the formulas; the tables
 * are not asked.
 */
const S_LOG3: Colour = { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine', matrix: 'bt709', range: 'narrow' };
const TARGETS: readonly Colour[] = [
  { transfer: 'bt709', primaries: 'bt709', matrix: 'bt709', range: 'narrow' },
  { transfer: 'smpte2084', primaries: 'bt2020', matrix: 'bt2020nc', range: 'narrow' },
  { transfer: 'arib-std-b67', primaries: 'bt2020', matrix: 'bt2020nc', range: 'narrow' },
];
const RAMP = 1024;
const RANDOM = 10_000;
const WIDTH = 128;
const HEIGHT = Math.ceil((RAMP + RANDOM) / WIDTH);

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-baked-'));
});
afterAll(() => rm(folder, { recursive: true }));

/** A log ramp over every 10-bit code, then random colours, as R'G'B' codes of 10 bits. */
function testColours(): Vector3[] {
  const random = seeded(20_260);
  const code = (): number => Math.floor(random() * 1024);
  return Array.from(
    { length: WIDTH * HEIGHT },
    (_, i): Vector3 => (i < RAMP ? [i, i, i] : [code(), code(), code()]),
  );
}

describe('S-Log3/S-Gamut3.Cine through real files', () => {
  it.each(TARGETS)('to $transfer, RGB in 16 bits: error of the tables alone', async (to) => {
    const from: Colour = { ...S_LOG3, matrix: 'gbr', range: 'full' };
    const target: Colour = { ...to, matrix: 'gbr', range: 'full' };
    const baked = await bakeToFiles({ from, to: target, exposure: 0, look: null }, folder);
    const colours = testColours();
    const plain = { width: WIDTH, height: HEIGHT, scan: 'progressive', chromaLocation: null } as const;
    const [g, b, r] = await renderSamples({
      from,
      to: target,
      baked,
      source: { ...plain, pixelFormat: 'gbrp10le' },
      output: { ...plain, pixelFormat: 'gbrp16le' },
      planes: [1, 2, 0].map((channel) => colours.map((colour) => colour[channel] ?? 0)),
    });
    const { apply } = makeRendering({ from, to: target });
    // In codes of a 10-bit narrow picture: 876 from black to white.
    const errors = colours.flatMap(([cr, cg, cb], i) => {
      const want = apply([cr / 1023, cg / 1023, cb / 1023]);
      return [r, g, b].map(
        (plane, channel) => Math.abs((plane?.[i] ?? -1e6) / 65535 - (want[channel] ?? 0)) * 876,
      );
    });
    expect(summary(errors)).toSatisfy(isWithin);
  });

  it.each(TARGETS)("to $transfer, Y'CbCr 4:4:4 in 10 bits: codes against rounded formulas", async (to) => {
    const matrix = to.matrix;
    if (matrix === 'gbr') throw new Error("not Y'CbCr");
    const baked = await bakeToFiles({ from: S_LOG3, to, exposure: 0, look: null }, folder);
    const codes = testColours().map((colour) => ycbcrCodes(colour));
    const plain = { width: WIDTH, height: HEIGHT, scan: 'progressive', chromaLocation: null } as const;
    const got = await renderSamples({
      from: S_LOG3,
      to,
      baked,
      source: { ...plain, pixelFormat: 'yuv444p10le' },
      output: { ...plain, pixelFormat: 'yuv444p10le' },
      planes: [0, 1, 2].map((plane) => codes.map((code) => code[plane] ?? 0)),
    });
    const { apply } = makeRendering({ from: S_LOG3, to });
    const rounded: number[] = [];
    const exact: number[] = [];
    for (const [i, [y, cb, cr]] of codes.entries()) {
      const nominal = ycbcrToRgb(
        [decodeLuma(y, 10, 'narrow'), decodeChroma(cb, 10, 'narrow'), decodeChroma(cr, 10, 'narrow')],
        'bt709',
      );
      const signal = each(nominal, (v) => signalOfNominal(v, S_LOG3));
      const [wy, wcb, wcr] = rgbToYcbcr(
        each(apply(signal), (s) => nominalOfSignal(s, to)),
        matrix,
      );
      const positions = [
        lumaPosition(wy, 10, 'narrow'),
        chromaPosition(wcb, 10, 'narrow'),
        chromaPosition(wcr, 10, 'narrow'),
      ];
      const wanted = [
        encodeLuma(wy, 10, 'narrow'),
        encodeChroma(wcb, 10, 'narrow'),
        encodeChroma(wcr, 10, 'narrow'),
      ];
      for (const [plane, codesOut] of got.entries()) {
        rounded.push(Math.abs((codesOut[i] ?? -1e6) - (wanted[plane] ?? 0)));
        exact.push(Math.abs((codesOut[i] ?? -1e6) - (positions[plane] ?? 0)));
      }
    }
    expect(summary(rounded).mean).toBeLessThan(0.25);
    // Rounding itself is worth up to half a code, 0.25 in the mean.
    expect(summary(exact).mean).toBeLessThan(0.3);
    expect(summary(exact).p999).toBeLessThan(1);
  });
});

/** R'G'B' codes to Y'CbCr codes, as a camera would write them. */
function ycbcrCodes(colour: Vector3): Vector3 {
  const [y, cb, cr] = rgbToYcbcr(
    each(colour, (code) => decodeLuma(code, 10, 'narrow')),
    'bt709',
  );
  return [encodeLuma(y, 10, 'narrow'), encodeChroma(cb, 10, 'narrow'), encodeChroma(cr, 10, 'narrow')];
}

function each([r, g, b]: Vector3, map: (value: number) => number): Vector3 {
  return [map(r), map(g), map(b)];
}

function summary(errors: readonly number[]): { mean: number; p999: number; worst: number } {
  const sorted = [...errors].sort((a, b) => a - b);
  const at = (share: number): number => sorted[Math.ceil(share * sorted.length) - 1] ?? Number.NaN;
  return { mean: sorted.reduce((sum, e) => sum + e, 0) / sorted.length, p999: at(0.999), worst: at(1) };
}

function isWithin({ mean, p999 }: { mean: number; p999: number }): boolean {
  return mean < 0.25 && p999 < 1;
}
