import { isCarried } from '../../jobs/codecs/carried.js';
import { codecOfEncoder } from '../../jobs/codecs/picture-codecs.js';
import type { VideoFacts } from '../../jobs/manifest/facts.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';

export type ChromaSiting = 'left' | 'center' | 'topleft';

/**
 * Chroma siting of the clip; where none is declared, left, as in most 4:2:0 video (H.273, type 0).
 */
export function sourceSiting(video: VideoFacts): ChromaSiting {
  const location = video.chromaLocation;
  return location === 'center' || location === 'topleft' ? location : 'left';
}

/**
 * Chroma siting of the output: top left for BT.2100 colour in 4:2:0 (BT.2100-2, table 8; type 2 of H.273)
 * where the file can declare it, otherwise left.
 */
export function outputSiting(recipe: OutputRecipe): ChromaSiting {
  if (!declaresSiting(recipe)) return 'left';
  const isHdr = recipe.colour.transfer === 'smpte2084' || recipe.colour.transfer === 'arib-std-b67';
  return isHdr && recipe.video.chroma === '4:2:0' ? 'topleft' : 'left';
}

/** Whether the output can declare its chroma siting; otherwise players assume left. */
export function declaresSiting({ video, container }: OutputRecipe): boolean {
  return isCarried('chroma-siting', codecOfEncoder(video.encoder), container);
}
