import { container } from '../jobs/containers/containers.js';
import type { Colour } from '../jobs/manifest/colour.js';
import { transferFunction } from '../signal/transfer/transfer-functions.js';
import type { SettledMake } from './settle-video.js';

/** OpenEXR holds linear light in R, G and B; only the primaries are left to choose. */
export const LINEAR_LIGHT = { transfer: 'linear', matrix: 'gbr', range: 'full' } as const;

/** Why a picture sequence cannot be made as a target wants it, and what to do; null where it can. Pure. */
export function sequenceLimit(
  { colour }: { readonly colour: Colour },
  make: SettledMake,
): { reason: string; next: string } | null {
  if (!container(make.container).isSequence) return null;
  if (make.audio !== undefined) {
    return {
      reason: `${make.container} is a folder of pictures, which holds no sound`,
      next: 'take audio out of the target, and make the sound by another target',
    };
  }
  if (!make.video.rgb) {
    return {
      reason: `${make.container} is made in RGB here, as programs for effects take it`,
      next: 'set rgb: true in the target',
    };
  }
  return make.container === 'exr' ? lightLimit(colour, make) : null;
}

function lightLimit(
  source: Colour,
  { colour, raster, burnIn }: SettledMake,
): { reason: string; next: string } | null {
  const { primaries } = colour === 'source' ? source : colour;
  if (primaries !== 'bt709') {
    return {
      reason: `ffmpeg writes no chromaticities into OpenEXR, which then means bt709, not ${primaries}`,
      next: 'set colour: { transfer: linear, primaries: bt709, matrix: gbr, range: full } in the target',
    };
  }
  if (colour !== 'source' && colour.transfer !== 'linear') {
    return {
      reason: `OpenEXR holds linear light, and the target wants ${colour.transfer}`,
      next: 'set transfer: linear in its colour',
    };
  }
  if (burnIn !== undefined || (raster !== 'source' && 'width' in raster)) {
    return {
      reason: 'bars, cuts and text are not made in floats',
      next: 'use raster: source or a largest size, and no burnIn',
    };
  }
  if (transferFunction(source.transfer).family === 'scene') return null;
  return {
    reason: `the light of the scene cannot be got back from ${source.transfer}, a picture made for a display`,
    next: 'use dpx or tiff, which keep its codes',
  };
}
