import { describe, expect, it } from 'vitest';
import { gamut } from '../../../../../signal/gamut/gamuts.js';
import { decodeChroma, decodeLuma } from '../../../../../signal/quantise.js';
import { hlgEotf } from '../../../../../signal/transfer/hlg-ootf.js';
import { PQ } from '../../../../../signal/transfer/pq.js';
import type { TransferName } from '../../../../../signal/transfer/transfer-functions.js';
import { ycbcrToRgb } from '../../../../../signal/ycbcr.js';
import { CellLight } from '../../../../../workers/measure/picture/flash/cell-light.js';
import { flashDisplay, isJudged } from '../../../../../workers/measure/picture/flash/display-model.js';
import { cellGrid } from '../../../../../workers/measure/picture/kernel/frame-features.js';
import { type Film, flat, GREY, HLG2100, naiveFeatures, PQ2100, planOf, SDR } from './flash-films.js';

const BLACK = [64];

describe('the light of a cell', () => {
  const codes = [
    [500, 512, 512],
    [300, 480, 700],
    [720, 600, 420],
    [940, 512, 512],
    [64, 512, 512],
  ] as const;
  const light = (shape: Film['shape'], planes: Film['frames'][number]): CellLight => {
    const plan = planOf(shape);
    const display = flashDisplay(plan);
    if (!isJudged(display)) throw new Error(display.notJudged);
    const cells = new CellLight(plan, display, cellGrid(shape.width, shape.height));
    cells.observe(naiveFeatures(shape, planes, 0));
    return cells;
  };
  const nitsOf = (transfer: TransferName, rgb: readonly [number, number, number]): number => {
    const held = rgb.map((v) => Math.min(Math.max(v, 0), (1019 - 64) / 876));
    const [r = 0, g = 0, b = 0] = held;
    const weights = gamut(transfer === 'bt709' ? 'bt709' : 'bt2020').rgbToXyz[1];
    const sum = (of: readonly number[]): number => weights.reduce((all, w, i) => all + w * (of[i] ?? 0), 0);
    if (transfer === 'bt709') return sum(held.map((v) => 200 * v ** 2.4));
    return sum(transfer === 'smpte2084' ? held.map(PQ.eotf) : hlgEotf([r, g, b]));
  };

  it.each([SDR, PQ2100, HLG2100])('is that of its mean code on the display: %o', (colour) => {
    // 4:2:0 with odd sizes, so that cells are cut across and down, and chroma with them.
    const shape: Film['shape'] = {
      ...GREY,
      model: 'ycbcr',
      shiftX: 1,
      shiftY: 1,
      width: 51,
      height: 35,
      colour,
    };
    for (const [y, cb, cr] of codes) {
      const chroma = 26 * 18;
      const planes = [
        Array.from({ length: 51 * 35 }, () => y),
        Array.from({ length: chroma }, () => cb),
        Array.from({ length: chroma }, () => cr),
      ];
      const matrix = colour.matrix === 'gbr' ? 'bt709' : colour.matrix;
      const rgb = ycbcrToRgb(
        [decodeLuma(y, 10, 'narrow'), decodeChroma(cb, 10, 'narrow'), decodeChroma(cr, 10, 'narrow')],
        matrix,
      );
      const expected = nitsOf(colour.transfer, [rgb[0], rgb[1], rgb[2]]);
      for (const nits of light(shape, planes).luminance) {
        expect(Math.abs(nits - expected)).toBeLessThan(0.001 * expected + 0.005);
      }
    }
  });

  it('is right for every shape of picture: the pixels of the cells are those of the picture', () => {
    for (const [width, height] of [
      [64, 40],
      [51, 35],
      [7, 3],
      [1025, 17],
    ] as const) {
      const shape = { ...GREY, width, height };
      const { pixels } = light(shape, flat(shape, BLACK));
      expect(pixels.reduce((a, b) => a + b, 0)).toBe(width * height);
    }
  });

  // 1920 pixels wide: 120 cells of 16 pixels in a row, six rows, of which 512 cells are made at a time.
  it.each(['grey', 'ycbcr', 'rgb'] as const)('is in its place in a picture of many cells: %s', (model) => {
    const upper = [300, 480, 560];
    const lower = [700, 600, 420];
    const shape: Film['shape'] = { ...GREY, model, width: 1920, height: 96 };
    const planes = upper
      .slice(0, model === 'grey' ? 1 : 3)
      .map((code, plane) =>
        Array.from({ length: 1920 * 96 }, (_, at) => (at < 1920 * 48 ? code : (lower[plane] ?? 0))),
      );
    const alone = (codes: readonly number[]): number =>
      light({ ...shape, width: 16, height: 16 }, flat({ ...shape, width: 16, height: 16 }, codes))
        .luminance[0] ?? 0;
    const { luminance } = light(shape, planes);
    const expected = [upper, lower].flatMap((codes) => new Array<number>(360).fill(alone(codes)));
    expect([...luminance]).toEqual(expected);
  });
});
