import { codecOfEncoder } from '../jobs/codecs/picture-codecs.js';
import type { Capabilities } from '../jobs/plan/capabilities.js';
import type { OutputRecipe } from '../jobs/plan/plan.js';

/**
 * Limits of an encoder other than pixel formats, and what to do instead; null where there is none.
 */
export function encoderLimit(
  recipe: OutputRecipe,
  capabilities: Capabilities,
): { reason: string; next: string } | null {
  const { encoder, widthStep } = codecOfEncoder(recipe.video.encoder);
  if (recipe.raster.width % widthStep !== 0) {
    return {
      reason: `the ${encoder} encoder needs a width that is a multiple of ${widthStep}, not ${recipe.raster.width}`,
      next: 'use intermediate-444-12 (FFV1), or give the target a raster with such a width',
    };
  }
  if (recipe.burnIn !== null && capabilities.fontFile === null) {
    return {
      reason: 'no font was found to burn text into the picture',
      next: 'install one (Debian: apt-get install fonts-dejavu-core), or remove burnIn from the target',
    };
  }
  if (recipe.burnIn !== null && !capabilities.filters.includes('drawtext')) {
    return {
      reason: 'this ffmpeg has no drawtext filter to burn text into the picture',
      next: 'install an ffmpeg built with libfreetype, or remove burnIn from the target',
    };
  }
  return null;
}
