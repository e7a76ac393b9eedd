import type { Colour } from '../../../../../jobs/manifest/colour.js';
import { maxCode } from '../../../../../signal/quantise.js';
import type { NaivePicture } from './naive-picture.js';

export const COLOURS: readonly Colour[] = [
  { primaries: 'bt709', transfer: 'bt709', matrix: 'bt709', range: 'narrow' },
  { primaries: 'bt470bg', transfer: 'bt709', matrix: 'smpte170m', range: 'full' },
  { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc', range: 'narrow' },
  { primaries: 'bt2020', transfer: 'smpte2084', matrix: 'bt2020nc', range: 'full' },
  { primaries: 'bt2020', transfer: 'arib-std-b67', matrix: 'bt2020nc', range: 'narrow' },
  { primaries: 'S-Gamut3.Cine', transfer: 'S-Log3', matrix: 'bt709', range: 'full' },
];

export const LAYOUTS = [
  { model: 'ycbcr', shiftX: 1, shiftY: 1 },
  { model: 'ycbcr', shiftX: 1, shiftY: 0 },
  { model: 'ycbcr', shiftX: 0, shiftY: 0 },
  { model: 'ycbcr', shiftX: 2, shiftY: 0 },
  { model: 'ycbcr', shiftX: 0, shiftY: 1 },
  { model: 'rgb', shiftX: 0, shiftY: 0 },
  { model: 'grey', shiftX: 0, shiftY: 0 },
] as const;

/**
 * Tame pictures stay near the range with some excursions, wild ones use any code, smooth ones keep neighbours
 * close: all must be right.
 */
export function pictureOf(
  shape: {
    width: number;
    height: number;
    depth: number;
    wild: boolean;
    interlaced: boolean;
    smooth?: boolean;
  },
  layout: (typeof LAYOUTS)[number],
  colour: Colour,
  random: (count: number) => number[],
): NaivePicture {
  const top = maxCode(shape.depth);
  const luma = shape.width * shape.height;
  const chroma = Math.ceil(shape.width / 2 ** layout.shiftX) * Math.ceil(shape.height / 2 ** layout.shiftY);
  const sizes = { ycbcr: [luma, chroma, chroma], rgb: [luma, luma, luma], grey: [luma] }[layout.model];
  const planes = sizes.map((size, plane) =>
    random(size).map((value) => {
      const isChroma = layout.model === 'ycbcr' && plane > 0;
      const centre = isChroma ? 0.5 : 0.55;
      const spread = shape.smooth ? 24 / top : shape.wild ? 1 : isChroma ? 0.2 : 0.95;
      return Math.min(Math.max(Math.round(top * (centre + (value - 0.5) * spread)), 0), top);
    }),
  );
  return { ...shape, ...layout, colour, planes };
}
