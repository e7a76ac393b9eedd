import type { VideoFacts } from '../../jobs/manifest/facts.js';
import type { OutputRecipe } from '../../jobs/plan/plan.js';

/**
 * Puts the scaled picture into its raster: centred on black, or cut from the middle. Places are even, so that
 * chroma samples stay with their luma. An edge that is missing only because subsampled chroma needs an even raster
 * is repeated: black there would bleed into the last line or column.
 */
export function fitFilters(recipe: OutputRecipe, video: VideoFacts): string[] {
  const { width, height, fit, scaledWidth, scaledHeight } = recipe.raster;
  const [extraX, extraY] = [width - scaledWidth, height - scaledHeight];
  if (fit === 'exact' || (extraX === 0 && extraY === 0)) return [];
  if (fit === 'crop') {
    const [x, y] = [even(-extraX / 2), even(-extraY / 2)];
    return [`crop=w=${width}:h=${height}:x=${x}:y=${y}:exact=1`];
  }
  const isSource = Math.max(scaledWidth, scaledHeight) === Math.max(video.width, video.height);
  if (isSource && extraX < 4 && extraY < 2) {
    return [
      `pad=w=${width}:h=${height}:x=0:y=0:color=black`,
      `fillborders=right=${extraX}:bottom=${extraY}:mode=smear`,
    ];
  }
  return [`pad=w=${width}:h=${height}:x=${even(extraX / 2)}:y=${even(extraY / 2)}:color=black`];
}

function even(value: number): number {
  return Math.max(0, Math.floor(value / 2) * 2);
}
