import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Colour, ScanName } from '../../../jobs/manifest/colour.js';
import type { Vector3 } from '../../../signal/matrix3.js';
import { chromaPosition, decodeChroma, decodeLuma, lumaPosition } from '../../../signal/quantise.js';
import { makeRendering } from '../../../signal/rendering/make-rendering.js';
import {
  codeFractionOfNominal,
  nominalOfSignal,
  signalOfNominal,
} from '../../../signal/rendering/rendering-colour.js';
import { rgbToYcbcr, ycbcrToRgb } from '../../../signal/ycbcr.js';
import { type BakedFiles, bakeToFiles } from '../../../workers/rendering/bake-files.js';
import { renderingFilters } from '../../../workers/rendering/filters.js';
import type { PictureFormat } from '../../../workers/rendering/picture-format.js';
import { pixelLayout } from '../../../workers/rendering/pixel-format.js';
import { type Planes, planeSizes, renderSamples } from './render-samples.js';

const S_LOG3: Colour = { transfer: 'S-Log3', primaries: 'S-Gamut3.Cine', matrix: 'bt709', range: 'narrow' };
const BT709: Colour = { transfer: 'bt709', primaries: 'bt709', matrix: 'bt709', range: 'narrow' };
const PQ: Colour = { transfer: 'smpte2084', primaries: 'bt2020', matrix: 'bt2020nc', range: 'narrow' };
const SDR_2020: Colour = { transfer: 'bt2020-10', primaries: 'bt2020', matrix: 'bt2020nc', range: 'narrow' };

/** 10-bit narrow Y'CbCr codes: skin, and a lamp. Both inside BT.709 once rendered. */
const PATCHES: readonly Vector3[] = [
  [500, 495, 540],
  [640, 500, 520],
];

let folder: string;
beforeAll(async () => {
  // A name that would break a filtergraph if it were not escaped.
  folder = await mkdtemp(join(tmpdir(), "goodgate it's [a]:b,c;d=e% "));
});
afterAll(() => rm(folder, { recursive: true }));

function picture(
  pixelFormat: string,
  size: readonly [number, number],
  scan: ScanName = 'progressive',
): PictureFormat {
  return { pixelFormat, width: size[0], height: size[1], scan, chromaLocation: null };
}

/** Signal of a colour's nominal R'G'B' as exact sample positions of a format's planes. */
function positions(rgb: Vector3, colour: Colour, format: PictureFormat): number[] {
  const { model, depth } = pixelLayout(format.pixelFormat);
  if (model === 'rgb') {
    const [r, g, b] = rgb.map((v) => codeFractionOfNominal(v, colour.range) * (2 ** depth - 1));
    return [g ?? 0, b ?? 0, r ?? 0];
  }
  if (colour.matrix === 'gbr') throw new Error("no matrix for Y'CbCr");
  const [y, cb, cr] = rgbToYcbcr(rgb, colour.matrix);
  const { range } = colour;
  return [lumaPosition(y, depth, range), chromaPosition(cb, depth, range), chromaPosition(cr, depth, range)];
}

function nominalOfCodes([y, cb, cr]: Vector3): Vector3 {
  return ycbcrToRgb(
    [decodeLuma(y, 10, 'narrow'), decodeChroma(cb, 10, 'narrow'), decodeChroma(cr, 10, 'narrow')],
    'bt709',
  );
}

function map3([r, g, b]: Vector3, map: (v: number) => number): Vector3 {
  return [map(r), map(g), map(b)];
}

/** Every sample of every plane one colour's, or by row where fields differ. */
function filled(format: PictureFormat, codeOf: (plane: number, row: number) => number): Planes {
  return planeSizes(format).map(({ width, height }, plane) =>
    Array.from({ length: width * height }, (_, i) => codeOf(plane, Math.floor(i / width))),
  );
}

async function baked(from: Colour, to: Colour): Promise<BakedFiles> {
  return bakeToFiles({ from, to, exposure: 0, look: null }, folder);
}

describe('renderingFilters on flat pictures, S-Log3 to BT.709', () => {
  it.each([
    ['yuv422p10le', 'yuv422p10le', [64, 36]],
    ['yuv422p10le', 'yuv420p10le', [64, 36]],
    ['yuv420p10le', 'yuv444p12le', [64, 36]],
    ['yuv422p10le', 'gbrp12le', [64, 36]],
    ['yuv420p10le', 'yuv420p10le', [65, 37]],
    ['yuv422p10le', 'yuv420p10le', [63, 36]],
    ['yuv444p10le', 'yuv422p10le', [65, 37]],
  ] as const)('%s to %s at %j', async (sourceFormat, outputFormat, size) => {
    const source = picture(sourceFormat, size);
    const output = picture(outputFormat, size);
    const to: Colour =
      pixelLayout(outputFormat).model === 'rgb' ? { ...BT709, matrix: 'gbr', range: 'full' } : BT709;
    const tables = await baked(S_LOG3, to);
    const { apply } = makeRendering({ from: S_LOG3, to });
    for (const patch of PATCHES) {
      const planes = filled(source, (plane) => patch[plane as 0 | 1 | 2]);
      const got = await renderSamples({ from: S_LOG3, to, baked: tables, source, output, planes });
      const signal = map3(nominalOfCodes(patch), (v) => signalOfNominal(v, S_LOG3));
      const want = positions(apply(signal), to, output);
      for (const [plane, samples] of got.entries()) {
        const errors = samples.map((sample) => Math.abs(sample - (want[plane] ?? 0)));
        // Half a code for rounding, a tenth for the tables.
        expect(Math.max(...errors), `plane ${plane} of ${patch}`).toBeLessThanOrEqual(0.6);
      }
    }
  });

  it.each([
    ['yuv422p10le', [128, 72]],
    ['yuv420p10le', [129, 75]],
  ] as const)('%s of %j, made smaller: exact where the picture is a slope', async (format, size) => {
    const source = picture(format, size);
    const output = picture('yuv420p', [64, 36]);
    const grey = 512;
    const level = (x: number): number => 300 + 2 * x;
    const planes = planeSizes(source).map(({ width, height }, plane) =>
      Array.from({ length: width * height }, (_, i) => (plane === 0 ? level(i % width) : grey)),
    );
    const got = await renderSamples({
      ...{ from: S_LOG3, to: BT709, baked: await baked(S_LOG3, BT709) },
      ...{ source, output, planes },
    });
    const { apply } = makeRendering({ from: S_LOG3, to: BT709 });
    // Away from the edges, where the slope ends. Centres of the samples lie at (n + 1/2) of the new width.
    const errorsOf = (x: number): number[] => {
      const code = level(((x + 0.5) * size[0]) / 64 - 0.5);
      const signal = map3(nominalOfCodes([code, grey, grey]), (v) => signalOfNominal(v, S_LOG3));
      const [want = 0] = positions(apply(signal), BT709, output);
      return Array.from({ length: 28 }, (_, row) => (got[0]?.[(row + 4) * 64 + x] ?? 0) - want);
    };
    for (let left = 4; left < 60; left += 8) {
      const block = Array.from({ length: 8 }, (_, x) => errorsOf(left + x)).flat();
      // Of 8 bits: dithering rounds up or down and leaves the mean.
      expect(Math.max(...block.map(Math.abs)), `columns from ${left}`).toBeLessThanOrEqual(1.2);
      const mean = block.reduce((sum, error) => sum + error, 0) / block.length;
      expect(Math.abs(mean), `mean of columns from ${left}`).toBeLessThanOrEqual(0.1);
    }
  });

  it('scales once, after the tables: grain averaged as it was coded would come out darker', async () => {
    const tables = await baked(S_LOG3, BT709);
    const large = picture('yuv422p10le', [128, 72]);
    for (const [format, size] of [
      ['yuv420p', [64, 36]],
      ['yuv420p10le', [64, 36]],
      ['yuv420p', [256, 144]],
    ] as const) {
      const chain = renderingFilters(S_LOG3, BT709, tables, large, picture(format, size));
      const scaledAt = chain.flatMap((filter, at) => (filter.includes(`w=${size[0]}`) ? [at] : []));
      expect(scaledAt).toHaveLength(1);
      expect(scaledAt[0]).toBeGreaterThan(chain.findLastIndex((filter) => filter.startsWith('lut')));
    }
  });

  it('keeps two fields of an interlaced 4:2:0 picture apart', async () => {
    const source = picture('yuv420p10le', [64, 36], 'interlaced-tff');
    const output = picture('yuv420p10le', [64, 36], 'interlaced-tff');
    const [top, bottom] = [PATCHES[0], PATCHES[1]];
    if (!top || !bottom) throw new Error('no patches');
    const planes = filled(source, (plane, row) => (row % 2 === 0 ? top : bottom)[plane as 0 | 1 | 2]);
    const got = await renderSamples({
      from: S_LOG3,
      to: BT709,
      baked: await baked(S_LOG3, BT709),
      source,
      output,
      planes,
    });
    const { apply } = makeRendering({ from: S_LOG3, to: BT709 });
    const wanted = [top, bottom].map((patch) =>
      positions(apply(map3(nominalOfCodes(patch), (v) => signalOfNominal(v, S_LOG3))), BT709, output),
    );
    for (const [plane, samples] of got.entries()) {
      const { width } = planeSizes(output)[plane] ?? { width: 1 };
      for (const [i, sample] of samples.entries()) {
        const want = wanted[Math.floor(i / width) % 2]?.[plane] ?? Number.NaN;
        expect(Math.abs(sample - want)).toBeLessThanOrEqual(0.6);
      }
    }
  });

  it('keeps codes above nominal white and below black as light: nothing is cut before the tables', async () => {
    const source = picture('yuv444p10le', [64, 16]);
    const codes = Array.from({ length: 64 * 16 }, (_, i) => i);
    const tables = await baked(SDR_2020, PQ);
    const got = await renderSamples({
      from: SDR_2020,
      to: PQ,
      baked: tables,
      source,
      output: source,
      planes: [codes, codes.map(() => 512), codes.map(() => 512)],
    });
    const { apply } = makeRendering({ from: SDR_2020, to: PQ });
    for (const code of [0, 64, 500, 940, 1000, 1019]) {
      const v = decodeLuma(code, 10, 'narrow');
      const [want] = apply([v, v, v]);
      expect(Math.abs((got[0]?.[code] ?? 0) - lumaPosition(want, 10, 'narrow'))).toBeLessThanOrEqual(0.6);
    }
    expect(got[0]?.[1019] ?? 0).toBeGreaterThan((got[0]?.[940] ?? 0) + 10);
  });
});

describe('renderingFilters without a rendering', () => {
  it('gives back every code where nothing changes, and every code of the same chroma at more depth', async () => {
    const source = picture('yuv422p10le', [64, 36]);
    const planes = planeSizes(source).map(({ width, height }, plane) =>
      Array.from({ length: width * height }, (_, i) => (i * 37 + plane * 101) % 1024),
    );
    const same = await renderSamples({
      from: S_LOG3,
      to: S_LOG3,
      baked: null,
      source,
      output: source,
      planes,
    });
    expect(same).toEqual(planes);
    const output = picture('yuv422p12le', [64, 36]);
    const deeper = await renderSamples({ from: S_LOG3, to: S_LOG3, baked: null, source, output, planes });
    expect(deeper).toEqual(planes.map((plane) => plane.map((code) => code * 4)));
  });

  it.each([
    ['yuv444p10le', 'gbrp12le', { ...S_LOG3, matrix: 'gbr' }],
    ['yuv444p10le', 'gbrp12le', { ...S_LOG3, matrix: 'gbr', range: 'full' }],
    ['yuv444p10le', 'yuv444p10le', { ...S_LOG3, matrix: 'bt2020nc' }],
  ] as const)('%s to %s as %j', async (sourceFormat, outputFormat, to) => {
    const source = picture(sourceFormat, [64, 36]);
    const output = picture(outputFormat, [64, 36]);
    for (const patch of PATCHES) {
      const planes = filled(source, (plane) => patch[plane as 0 | 1 | 2]);
      const got = await renderSamples({ from: S_LOG3, to, baked: null, source, output, planes });
      const want = positions(nominalOfCodes(patch), to, output);
      expect(got.map((samples) => samples[0])).toEqual(want.map(Math.round));
    }
  });

  it('dithers where depth is lost, the same every time, and true in the mean', async () => {
    const source = picture('yuv422p10le', [64, 36]);
    const output = picture('yuv420p', [64, 36]);
    const planes = filled(source, (plane) => [501, 513, 514][plane] ?? 0);
    const first = await renderSamples({ from: BT709, to: BT709, baked: null, source, output, planes });
    const second = await renderSamples({ from: BT709, to: BT709, baked: null, source, output, planes });
    expect(first).toEqual(second);
    const [luma = []] = first;
    expect(new Set(luma)).toEqual(new Set([125, 126]));
    expect(luma.reduce((sum, v) => sum + v, 0) / luma.length).toBeCloseTo(501 / 4, 1);
  });
});

describe('the chain as text', () => {
  const source = picture('yuv422p10le', [1920, 1080]);

  it('goes through floats from the first filter to the last step, then ends at black and white', () => {
    const tables: BakedFiles = {
      steps: [{ kind: 'lut1d', path: '/t/a.cube' }, { kind: 'lut3d', path: '/t/b.cube' }, { kind: 'shape' }],
      description: '',
      source: '',
      notes: [],
      error: { exact: 1, withinOne: 1, mean: 0, p999: 0, worst: 0 },
    };
    const chain = renderingFilters(S_LOG3, PQ, tables, source, { ...source, chromaLocation: 'topleft' });
    // Slices of zscale meet badly where chroma is resampled: the result would depend on the machine's cores.
    expect(
      chain
        .filter((filter) => filter.includes('filter=bicubic'))
        .every((filter) => filter.endsWith(':threads=1')),
    ).toBe(true);
    expect(chain.map((filter) => filter.replace(/:(pin|filter|black)=.*/, ''))).toEqual([
      'zscale=min=709:rin=limited:cin=left',
      'format=gbrpf32le',
      // (v - black) / (2^-exposure - black) with black -64/876 and 2^-exposure 959/876 is (64 + 876 v) /
      // 1023.
      `exposure=exposure=${(-Math.log2(959 / 876)).toFixed(12)}`,
      'lut1d=file=/t/a.cube:interp=linear',
      'lut3d=file=/t/b.cube:interp=tetrahedral',
      'zscale=tin=linear:t=smpte2084',
      // The limit of the rendering, in 16 bits.
      'zscale=min=gbr:m=gbr',
      'format=gbrp16le',
      'zscale=min=gbr:m=2020_ncl:r=limited:c=topleft',
      'format=yuv422p10le',
      'limiter=min=64:max=940:planes=1',
      'limiter=min=64:max=960:planes=6',
      'setparams=range=tv:color_primaries=bt2020:color_trc=smpte2084:colorspace=bt2020nc',
    ]);
  });

  it('refuses to scale the height of an interlaced picture', () => {
    const interlaced: PictureFormat = { ...source, scan: 'interlaced-tff' };
    expect(() => renderingFilters(S_LOG3, PQ, null, interlaced, { ...interlaced, height: 540 })).toThrow(
      /interlaced/,
    );
  });

  it('refuses a format it cannot read the codes of', () => {
    expect(() =>
      renderingFilters(BT709, BT709, null, { ...source, pixelFormat: 'gray10le' }, source),
    ).toThrow(/gray10le/);
  });
});

it('holds the nominal signal of a log picture to the code the curve names', () => {
  // S-Log3's grey is code 420 of 1023, also in a narrow picture (published: 0 / 18 / 90 % at 95 / 420 / 598).
  expect(signalOfNominal(decodeLuma(420, 10, 'narrow'), S_LOG3)).toBeCloseTo(420 / 1023, 12);
  expect(nominalOfSignal(420 / 1023, S_LOG3)).toBeCloseTo(decodeLuma(420, 10, 'narrow'), 12);
});
