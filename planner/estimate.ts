import { modelOutput } from '../jobs/experience/modelled.js';
import type { OutputRecipe } from '../jobs/plan/plan.js';

/**
 * Seconds that programs, threads and documents of one file cost however short it is: of a clip itself, and
 * of each of its outputs. Processor time of clips of 10 frames, by `goodgate run` with one output and with
 * three.
 */
export const SECONDS_PER_FILE = 1.7;

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
    seconds: SECONDS_PER_FILE + modelled.coreSeconds / cores,
  };
}
