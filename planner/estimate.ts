import { modelOutput } from '../jobs/experience/modelled.js';
import type { OutputRecipe } from '../jobs/plan/plan.js';

export interface Estimate {
  readonly bytes: number;
  readonly seconds: number;
}

/**
 * Rough estimates of size and time, from figures of each codec; a plan says "about". Bytes and seconds. What
 * a site learned corrects them afterwards (jobs/experience/correct.ts).
 */
export function estimateOutput(
  recipe: OutputRecipe,
  frames: number,
  durationSeconds: number,
  cores: number,
  audioChannels: number,
): Estimate {
  const modelled = modelOutput(recipe, frames, durationSeconds, audioChannels);
  return {
    bytes: Math.round(modelled.pictureBytes + modelled.soundBytes),
    seconds: modelled.coreSeconds / cores,
  };
}
