import { codecOfEncoder } from '../jobs/codecs/picture-codecs.js';
import type { Capabilities } from '../jobs/plan/capabilities.js';
import type { OutputRecipe } from '../jobs/plan/plan.js';

/**
 * What an encoder cannot do whatever its list of pixel formats says, and the way round. Null: nothing in the
 * way.
 */
export function encoderLimit(
  recipe: OutputRecipe,
  capabilities: Capabilities,
): { reason: string; next: string } | null {
  const { encoder, widthStep } = codecOfEncoder(recipe.video.encoder);
  if (recipe.raster.width % widthStep !== 0) {
    return {
      reason: `the ${encoder} encoder takes widths that are a multiple of ${widthStep}, not ${recipe.raster.width}`,
      next: 'use intermediate-444-12 (FFV1), or give the target a raster with such a width',
    };
  }
  if (recipe.burnIn !== null && capabilities.fontFile === null) {
    return {
      reason: 'no font was found to burn text into the picture with',
      next: 'install one (Debian: apt-get install fonts-dejavu-core), or take burnIn out of the target',
    };
  }
  if (recipe.burnIn !== null && !capabilities.filters.includes('drawtext')) {
    return {
      reason: 'this ffmpeg has no drawtext filter to burn text in with',
      next: 'install an ffmpeg built with libfreetype, or take burnIn out of the target',
    };
  }
  return null;
}
