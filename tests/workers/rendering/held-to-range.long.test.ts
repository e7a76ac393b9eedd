import { mkdtemp, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { Colour } from '../../../jobs/manifest/colour.js';
import { makePattern } from '../../../signal/pattern/patterns.js';
import { type BakedFiles, bakeToFiles } from '../../../workers/rendering/bake-files.js';
import type { PictureFormat } from '../../../workers/rendering/picture-format.js';
import { type Planes, planeSizes, renderSamples } from './render-samples.js';

/**
 * HDR rendered to BT.709 stays where EBU R 103 v3.0 (May 2020) wants it: R'G'B' from -5 to 105 %, luma from
 * -1 to 103 %, and no code that SDI keeps for itself. The formulas here are BT.709's own, apart from the code
 * under test.
 */
const HD: Colour = { transfer: 'bt709', primaries: 'bt709', matrix: 'bt709', range: 'narrow' };
const SD_2020: Colour = { transfer: 'bt2020-10', primaries: 'bt2020', matrix: 'gbr', range: 'full' };

interface Source {
  readonly colour: Colour;
  readonly format: PictureFormat;
  readonly planes: Planes;
}

/** Cells of 16 pixels, every colour of 5 x 5 x 5 once in an order that puts unlike ones side by side. */
const CELL = 16;
const SIDE = 12;
function cube(colour: Colour): Source {
  const size = SIDE * CELL;
  const plane = (channel: number) =>
    Array.from({ length: size * size }, (_, i) => {
      const cell = Math.floor(Math.floor(i / size) / CELL) * SIDE + Math.floor((i % size) / CELL);
      const index = (cell * 57) % 125;
      return Math.round(((Math.floor(index / 5 ** channel) % 5) / 4) * 4095);
    });
  const format = { pixelFormat: 'gbrp12le', width: size, height: size, scan: 'progressive' } as const;
  return { colour, format: { ...format, chromaLocation: null }, planes: [plane(1), plane(2), plane(0)] };
}

/** The bars of BT.2111, every eighth column and line: no bar is narrower. */
function bars(name: 'bt2111-pq' | 'bt2111-hlg'): Source {
  const picture = makePattern(name);
  const [width, height] = [picture.width / 8, picture.height / 8];
  const [r, g, b] = picture.planes.map((plane) =>
    Array.from(
      { length: width * height },
      (_, i) => plane[Math.floor(i / width) * 8 * picture.width + (i % width) * 8] ?? 0,
    ),
  );
  const { colour, depth } = picture;
  const format = {
    pixelFormat: `gbrp${depth}le`,
    width,
    height,
    scan: 'progressive',
    chromaLocation: null,
  } as const;
  return { colour: { ...colour, matrix: 'gbr' }, format, planes: [g ?? [], b ?? [], r ?? []] };
}

const HDR = (transfer: 'smpte2084' | 'arib-std-b67'): Colour => ({
  transfer,
  primaries: 'bt2020',
  matrix: 'gbr',
  range: 'full',
});

let folder: string;
beforeAll(async () => {
  folder = await mkdtemp(join(tmpdir(), 'goodgate-held-'));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

/** The baked files of each curve: the same for every source of it, and the most work. */
const bakings = new Map<string, Promise<BakedFiles>>();
function bakedOf(colour: Colour): Promise<BakedFiles> {
  const key = JSON.stringify(colour);
  const baking = bakings.get(key) ?? bakeToFiles({ from: colour, to: HD, exposure: 0, look: null }, folder);
  bakings.set(key, baking);
  return baking;
}

async function render(source: Source, pixelFormat: string, width: number, height: number) {
  const { colour, format, planes } = source;
  const baked = await bakedOf(colour);
  const output: PictureFormat = { pixelFormat, width, height, scan: 'progressive', chromaLocation: 'left' };
  return {
    output,
    codes: await renderSamples({ from: colour, to: HD, baked, source: format, output, planes }),
  };
}

/** Lowest and highest code of luma and of chroma, in 8-bit codes. */
function extremes(codes: Planes, depth: number) {
  const scale = 2 ** (depth - 8);
  const of = (plane: readonly number[] | undefined) =>
    [
      (plane ?? []).reduce((low, code) => Math.min(low, code), Number.POSITIVE_INFINITY) / scale,
      (plane ?? []).reduce((high, code) => Math.max(high, code), 0) / scale,
    ] as const;
  return codes.map(of);
}

/** Whether a sample lies in R 103; luma and chroma in 8-bit codes. BT.709-6 items 3.2 to 3.4. */
function isWithin(luma: number, cb: number, cr: number): boolean {
  const y = (luma - 16) / 219;
  const b = y + 1.8556 * ((cb - 128) / 224);
  const r = y + 1.5748 * ((cr - 128) / 224);
  const g = (y - 0.2126 * r - 0.0722 * b) / 0.7152;
  return y >= -0.01 && y <= 1.03 && [r, g, b].every((value) => value >= -0.05 && value <= 1.05);
}

/**
 * The cells of a cube at three quarters of its size whose middle lies outside R 103. Between unlike cells
 * subsampled chroma is a mix of both, whoever codes it; in the middle of each it must be right.
 */
function cellsOutside(codes: Planes, output: PictureFormat, depth: number): string[] {
  const wide = planeSizes(output)[1];
  const scale = 2 ** (depth - 8);
  const wrong: string[] = [];
  for (let row = 0; row < SIDE; row++)
    for (let column = 0; column < SIDE; column++) {
      const [x, y] = [column * 12 + 6, row * 12 + 6];
      const at = Math.floor((y * (wide?.height ?? 0)) / output.height) * (wide?.width ?? 0) + x / 2;
      const [luma, cb, cr] = [codes[0]?.[y * output.width + x], codes[1]?.[at], codes[2]?.[at]].map(
        (code) => (code ?? Number.NaN) / scale,
      );
      if (!isWithin(luma ?? 0, cb ?? 0, cr ?? 0)) wrong.push(`${column},${row}: ${luma}, ${cb}, ${cr}`);
    }
  return wrong;
}

const SOURCES: readonly (readonly [string, () => Source])[] = [
  ['a cube of PQ', () => cube(HDR('smpte2084'))],
  ['a cube of HLG', () => cube(HDR('arib-std-b67'))],
  ['a cube of BT.2020', () => cube(SD_2020)],
  ['bars of PQ', () => bars('bt2111-pq')],
  ['bars of HLG', () => bars('bt2111-hlg')],
];

describe.each(SOURCES)('%s in BT.709', (what, make) => {
  it('stays within R 103 in every sample of 4:4:4', async () => {
    const source = make();
    const { codes } = await render(source, 'yuv444p10le', source.format.width, source.format.height);
    const outside = (codes[0] ?? []).filter(
      (luma, i) => !isWithin(luma / 4, (codes[1]?.[i] ?? 0) / 4, (codes[2]?.[i] ?? 0) / 4),
    );
    expect(outside).toEqual([]);
  });

  it.each([
    ['yuv422p10le', 10],
    ['yuv420p', 8],
  ] as const)('scaled to three quarters in %s, leaves no nominal code', async (pixelFormat, depth) => {
    const source = make();
    const even = (value: number) => 2 * Math.floor((value * 3) / 8);
    const size = [even(source.format.width), even(source.format.height)] as const;
    const { codes, output } = await render(source, pixelFormat, ...size);
    const [luma, cb, cr] = extremes(codes, depth);
    expect(luma?.[0]).toBeGreaterThanOrEqual(16);
    expect(luma?.[1]).toBeLessThanOrEqual(235);
    for (const chroma of [cb, cr]) {
      expect(chroma?.[0]).toBeGreaterThanOrEqual(16);
      expect(chroma?.[1]).toBeLessThanOrEqual(240);
    }
    if (what.startsWith('a cube')) expect(cellsOutside(codes, output, depth)).toEqual([]);
  });
});
