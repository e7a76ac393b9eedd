import { hasAlpha } from '../jobs/manifest/alpha.js';
import type { Colour } from '../jobs/manifest/colour.js';
import type { VideoFacts } from '../jobs/manifest/facts.js';
import type { MakeRecipe } from '../jobs/targets/target.js';
import type { AlphaDepths } from './encoder-choice.js';
import type { SettledMake } from './settle-video.js';

/**
 * Depths at which the clip's alpha may be coded. None where it has no alpha, or where more is done to the
 * picture than to change its depth: what a rendering, a scaling or a burn-in would have to do to alpha is
 * nothing a target says. A codec that keeps the clip's own depth may take 16 bits instead, which lose
 * nothing: FFV1 has alpha at 8, 9, 10 and 16 bits of Y'CbCr.
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
  if (!hasAlpha(video.pixelFormat) || !isUntouched) return [];
  return wish.video.bitDepth === 'source' ? [make.video.bitDepth, 16] : [make.video.bitDepth];
}
