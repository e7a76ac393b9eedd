import type { OutputRecipe } from '../../jobs/plan/plan.js';
import { parseRational } from '../../signal/rational.js';
import { nominalRate } from '../../signal/timecode.js';

/** Constant quality under a ceiling; the ceiling holds over two seconds. */
export function rateControl(video: OutputRecipe['video'], usualCrf: number): string[] {
  const ceiling = video.maxBitRate;
  return [
    ...['-crf', String(video.crf ?? usualCrf)],
    ...(ceiling === null ? [] : ['-maxrate', String(ceiling), '-bufsize', String(2 * ceiling)]),
  ];
}

/** A key frame every two seconds: a proxy is scrubbed through. */
export function keyframeInterval(recipe: OutputRecipe): number {
  const rate = parseRational(recipe.frameRate);
  return 2 * ((rate && nominalRate(rate)) ?? 25);
}
