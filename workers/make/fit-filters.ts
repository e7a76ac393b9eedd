import type { OutputRecipe } from '../../jobs/plan/plan.js';
import { chromaLevels, lumaLevels } from '../../signal/quantise.js';

/**
 * Fits the scaled picture into its raster: padded with black, cropped at the centre, or with its last column
 * and line repeated where subsampled chroma needs an even raster. Offsets are even, so that chroma samples
 * stay with their luma.
 */
export function fitFilters(recipe: OutputRecipe): string[] {
  const { width, height, fit, scaledWidth, scaledHeight } = recipe.raster;
  const [extraX, extraY] = [width - scaledWidth, height - scaledHeight];
  if (fit === 'exact' || (extraX === 0 && extraY === 0)) return [];
  if (fit === 'crop') {
    const [x, y] = [even(-extraX / 2), even(-extraY / 2)];
    return [`crop=w=${width}:h=${height}:x=${x}:y=${y}:exact=1`];
  }
  return fit === 'repeat' ? [repeatEdge(recipe)] : padBlack(recipe);
}

function even(value: number): number {
  return Math.max(0, Math.floor(value / 2) * 2);
}

/**
 * Repeats the last column and line in luma only: subsampled chroma of an odd picture already has its last
 * sample. ffmpeg's own filters would turn the chroma of that edge black.
 */
function repeatEdge({ raster, video }: OutputRecipe): string {
  const { width, height, scaledWidth, scaledHeight } = raster;
  const luma = `pad=w=${width}:h=${height}:x=0:y=0,fillborders=right=${width - scaledWidth}:bottom=${height - scaledHeight}:mode=smear`;
  return `extractplanes=y+u+v[edgeY][edgeU][edgeV];[edgeY]${luma}[edgeL];[edgeL][edgeU][edgeV]mergeplanes=0x001020:${video.pixelFormat}`;
}

/**
 * Black bars with the exact code of black. ffmpeg's `pad` converts its colour from 8-bit RGB, which gives
 * 64/514/514 at 10 bits, and code 64 in full range; so the bars are filled again, by code values.
 */
function padBlack(recipe: OutputRecipe): string[] {
  const { width, height, scaledWidth, scaledHeight } = recipe.raster;
  const [left, top] = [even((width - scaledWidth) / 2), even((height - scaledHeight) / 2)];
  const fill = fillBlack(recipe);
  return [
    `pad=w=${width}:h=${height}:x=${left}:y=${top}`,
    ...blacken('vstack', fill, [top, scaledHeight, height - top - scaledHeight], (at, size) => [
      `crop=w=${width}:h=${size}:x=0:y=${at}:exact=1`,
    ]),
    ...blacken('hstack', fill, [left, scaledWidth, width - left - scaledWidth], (at, size) => [
      `crop=w=${size}:h=${height}:x=${at}:y=0:exact=1`,
    ]),
  ];
}

/** Splits the padded picture into bar, picture, bar, fills the bars and stacks them again. */
function blacken(
  stack: 'vstack' | 'hstack',
  fill: string,
  [before, picture, after]: readonly [number, number, number],
  cut: (at: number, size: number) => readonly string[],
): string[] {
  if (before === 0 && after === 0) return [];
  const pieces = [
    ...(before === 0 ? [] : [[...cut(0, before), fill]]),
    cut(before, picture),
    ...(after === 0 ? [] : [[...cut(before + picture, after), fill]]),
  ];
  const labels = pieces.map((_, index) => [`${stack}In${index}`, `${stack}Out${index}`] as const);
  const joined = (side: 0 | 1): string => labels.map((label) => `[${label[side]}]`).join('');
  return [
    [
      `split=${pieces.length}${joined(0)}`,
      ...pieces.map((filters, index) => `[${labels[index]?.[0]}]${filters.join(',')}[${labels[index]?.[1]}]`),
      `${joined(1)}${stack}=inputs=${pieces.length}`,
    ].join(';'),
  ];
}

function fillBlack({ colour, video }: OutputRecipe): string {
  const { black } = lumaLevels(video.bitDepth, colour.range);
  if (colour.matrix === 'gbr') return `lutrgb=r=${black}:g=${black}:b=${black}`;
  if (video.chroma === '4:0:0') return `lutyuv=y=${black}`;
  const { neutral } = chromaLevels(video.bitDepth, colour.range);
  return `lutyuv=y=${black}:u=${neutral}:v=${neutral}`;
}
