import type { OutputRecipe } from '../../../jobs/plan/plan.js';

/** ProRes by prores_ks. It takes 10 bits only; the planner has named that loss. Alpha is not carried. */
export function proresArguments(recipe: OutputRecipe): string[] {
  return [
    ...['-c:v', 'prores_ks', '-profile:v', recipe.video.profile ?? 'hq', '-alpha_bits', '0'],
    // The encoder codes fields only with this flag; their order is on the frames.
    ...(recipe.scan === 'progressive' ? [] : ['-flags', '+ildct']),
  ];
}
