import { hasAlpha } from '../jobs/manifest/alpha.js';
import type { Colour } from '../jobs/manifest/colour.js';
import type { VideoFacts } from '../jobs/manifest/facts.js';
import type { MakeRecipe } from '../jobs/targets/target.js';
import type { AlphaDepths } from './encoder-choice.js';
import type { SettledMake } from './settle-video.js';

/**
 * Depths at which the alpha of the clip may be coded. None where it has no alpha, or where more than the
 * depth of the picture is changed: a target does not define what a rendering, a scaling or a burn-in does to
 * alpha. A target that keeps the depth of the clip may use 16 bits instead, which lose nothing: FFV1 has
 * alpha only at 8, 9, 10 and 16 bits of Y'CbCr.
 */
export function alphaDepths(
  { video, colour }: { readonly video: VideoFacts; readonly colour: Colour },
  wish: MakeRecipe,
  make: SettledMake,
): AlphaDepths {
  const isUntouched =
    make.raster === 'source' &&
    make.colour === 'source' &&
    make.burnIn === undefined &&
    make.video.chroma === video.chroma &&
    make.video.rgb === (colour.matrix === 'gbr') &&
    (make.scan === 'source' || video.scan === 'progressive' || video.scan === null) &&
    Math.round(video.rotation) % 360 === 0;
  // That of floats is not kept: they become codes without it.
  if (!hasAlpha(video.pixelFormat) || /f32/.test(video.pixelFormat) || !isUntouched) return [];
  return wish.video.bitDepth === 'source' ? [make.video.bitDepth, 16] : [make.video.bitDepth];
}
