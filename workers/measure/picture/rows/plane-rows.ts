import type { PicturePlan } from '../plan/picture-plan.js';
import type { FillRow, RgbRow } from './gamut-filter.js';

/**
 * Rows of R', G', B' in steps, from the planes of a frame: through the matrix, the planes themselves for RGB,
 * luma three times for grey. Null where the matrix is unknown. Codes above the declared depth, which only a
 * broken decoder gives, count as its top code.
 */
export function planeRows(plan: PicturePlan, codes: Uint16Array): FillRow | null {
  if (plan.meaning.matrix === null) return null;
  if (plan.layout.model === 'grey') return greyRows(plan, codes);
  return plan.layout.model === 'rgb' ? rgbRows(plan, codes) : ycbcrRows(plan, codes);
}

function greyRows({ geometry, scale }: PicturePlan, codes: Uint16Array): FillRow {
  const { width } = geometry;
  const { shift, topCode } = scale;
  return (row, from, to, rgb) => {
    const start = row * width;
    for (let x = from; x < to; x++) {
      const code = codes[start + x] ?? 0;
      const step = (code < topCode ? code : topCode) << shift;
      rgb.red[x] = step;
      rgb.green[x] = step;
      rgb.blue[x] = step;
    }
  };
}

function rgbRows({ geometry, scale }: PicturePlan, codes: Uint16Array): FillRow {
  const { width, lumaSamples } = geometry;
  const { shift, topCode } = scale;
  const copy = (plane: number, row: number, from: number, to: number, into: Int32Array): void => {
    const start = plane * lumaSamples + row * width;
    for (let x = from; x < to; x++) {
      const code = codes[start + x] ?? 0;
      into[x] = (code < topCode ? code : topCode) << shift;
    }
  };
  return (row, from, to, rgb) => {
    copy(0, row, from, to, rgb.green);
    copy(1, row, from, to, rgb.blue);
    copy(2, row, from, to, rgb.red);
  };
}

function ycbcrRows(plan: PicturePlan, codes: Uint16Array): FillRow {
  const { geometry, layout, scale, interlaced } = plan;
  const tables = scale.chroma;
  if (!tables) throw new Error('a Y′CbCr picture needs a matrix to become R′G′B′');
  const { crToRed, cbToGreen, crToGreen, cbToBlue } = tables;
  const { width, chromaWidth, lumaSamples, chromaSamples, chromaHeight } = geometry;
  const { shift, topCode } = scale;
  const across = layout.chromaShiftX;
  const chromaRow = chromaRowOf(layout.chromaShiftY, interlaced, chromaHeight);
  return (row: number, from: number, to: number, { red, green, blue }: RgbRow) => {
    const lumaStart = row * width;
    const cbStart = lumaSamples + chromaRow(row) * chromaWidth;
    const crStart = cbStart + chromaSamples;
    let x = from;
    while (x < to) {
      const c = x >> across;
      const cbRaw = codes[cbStart + c] ?? 0;
      const crRaw = codes[crStart + c] ?? 0;
      const cb = cbRaw < topCode ? cbRaw : topCode;
      const cr = crRaw < topCode ? crRaw : topCode;
      const toRed = crToRed[cr] ?? 0;
      const toGreen = (cbToGreen[cb] ?? 0) + (crToGreen[cr] ?? 0);
      const toBlue = cbToBlue[cb] ?? 0;
      const shared = (c + 1) << across;
      const end = shared < to ? shared : to;
      for (; x < end; x++) {
        const code = codes[lumaStart + x] ?? 0;
        const luma = (code < topCode ? code : topCode) << shift;
        red[x] = luma + toRed;
        green[x] = luma + toGreen;
        blue[x] = luma + toBlue;
      }
    }
  };
}

/**
 * Row of the chroma planes that belongs to a row of luma. In interlaced 4:2:0 the chroma rows alternate
 * between the fields as the luma rows do, so luma rows 0 and 2 share chroma row 0, and 1 and 3 share row 1
 * (H.262, figure 6-2).
 */
export function chromaRowOf(shift: number, interlaced: boolean, rows: number): (row: number) => number {
  if (shift === 0) return (row) => row;
  if (!interlaced) return (row) => row >> shift;
  return (row) => Math.min(((row >> (shift + 1)) << 1) | (row & 1), rows - 1);
}
