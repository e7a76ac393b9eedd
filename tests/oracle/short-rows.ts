import { type PicturePlan, shortFactors } from '../../workers/measure/picture/plan/picture-plan.js';
import { SHORT_BITS } from '../../workers/measure/picture/plan/step-bits.js';
import type { FillRow } from '../../workers/measure/picture/rows/gamut-filter.js';
import { chromaRowOf } from '../../workers/measure/picture/rows/plane-rows.js';

/**
 * The short sums of a picture, in steps: by them R', G', B' and light are counted, each sum right to three
 * quarters of a short step, which is a twentieth of a 10-bit code. Null where the exact sums are counted.
 */
export function shortRows(plan: PicturePlan, codes: Uint16Array): FillRow | null {
  const { geometry, layout, scale, interlaced } = plan;
  const factors = shortFactors(plan);
  if (factors === null || plan.meaning.matrix === null) return null;
  const neutral = scale.chroma?.factors.neutral ?? 0;
  const { width, chromaWidth, lumaSamples, chromaSamples, chromaHeight } = geometry;
  const { shift, topCode } = scale;
  const chromaRow = chromaRowOf(layout.chromaShiftY, interlaced, chromaHeight);
  const held = (at: number): number => Math.min(codes[at] ?? 0, topCode);
  const rounded = (product: number): number => (product + 2 ** 14) >> 15;
  return (row, from, to, { red, green, blue }) => {
    const cbStart = lumaSamples + chromaRow(row) * chromaWidth;
    for (let x = from; x < to; x++) {
      const luma = held(row * width + x) << shift;
      const cb = (held(cbStart + (x >> 1)) - neutral) * factors.chroma;
      const cr = (held(cbStart + chromaSamples + (x >> 1)) - neutral) * factors.chroma;
      const toRed = cr + rounded(cr * factors.crToRed);
      const toGreen = rounded(cb * factors.cbToGreen + cr * factors.crToGreen);
      const toBlue = cb + rounded(cb * factors.cbToBlue);
      red[x] = luma + (toRed << SHORT_BITS);
      green[x] = luma + (toGreen << SHORT_BITS);
      blue[x] = luma + (toBlue << SHORT_BITS);
    }
  };
}
