import type { OutputRecipe } from '../../../jobs/plan/plan.js';

/** CineForm (SMPTE ST 2073, VC-5 family): wavelet, 12-bit R'G'B' or 10-bit 4:2:2. The profile is its quality. */
export function cineformArguments(recipe: OutputRecipe): string[] {
  return ['-c:v', 'cfhd', '-quality', recipe.video.profile ?? 'film3+'];
}
