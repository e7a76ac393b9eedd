import { isCarried } from '../../jobs/codecs/carried.js';
import { codecOfEncoder } from '../../jobs/codecs/picture-codecs.js';
import type { VideoFacts } from '../../jobs/manifest/facts.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';

export type ChromaSiting = 'left' | 'center' | 'topleft';

/**
 * Where the clip's chroma samples sit; what most 4:2:0 video means by saying nothing is left (H.273, type 0).
 */
export function sourceSiting(video: VideoFacts): ChromaSiting {
  const location = video.chromaLocation;
  return location === 'center' || location === 'topleft' ? location : 'left';
}

/**
 * Where the output's chroma samples are put: top left for BT.2100 colour in 4:2:0 (BT.2100-2, table 8; type 2
 * of H.273) where the file can say so, left for everything else.
 */
export function outputSiting(recipe: OutputRecipe): ChromaSiting {
  if (!saysSiting(recipe)) return 'left';
  const isHdr = recipe.colour.transfer === 'smpte2084' || recipe.colour.transfer === 'arib-std-b67';
  return isHdr && recipe.video.chroma === '4:2:0' ? 'topleft' : 'left';
}

/** Whether a reader of the output learns where its chroma sits; otherwise it is taken to be left. */
export function saysSiting({ video, container }: OutputRecipe): boolean {
  return isCarried('chroma-siting', codecOfEncoder(video.encoder), container);
}
