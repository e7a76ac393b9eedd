import type { OutputRecipe } from '../../../jobs/plan/plan.js';

/**
 * FFV1 version 3 (RFC 9043): every frame by itself and every slice with its checksum, so damage is found and stays
 * small. More slices let more cores work, at a little size.
 */
export function ffv1Arguments(recipe: OutputRecipe): string[] {
  const pixels = recipe.raster.width * recipe.raster.height;
  const slices = pixels > 4_000_000 ? 24 : pixels > 500_000 ? 16 : 4;
  return [
    ...['-c:v', 'ffv1', '-level', '3', '-coder', '1', '-context', '1', '-g', '1'],
    ...['-slices', String(slices), '-slicecrc', '1'],
  ];
}
