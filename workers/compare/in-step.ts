import type { VideoFacts } from '../../jobs/manifest/facts.js';
import { equalRationals, parseRational } from '../../signal/rational.js';

/** Why frame n of one file is not frame n of the other; null: it is. */
export function notInStep(
  original: Pick<VideoFacts, 'frameRate' | 'constantRate' | 'steady' | 'frames'>,
  copy: Pick<VideoFacts, 'frameRate'>,
): string | null {
  const had = parseRational(original.frameRate ?? '');
  const is = parseRational(copy.frameRate ?? '');
  if (had === null || is === null) return 'a frame rate is not known';
  if (!equalRationals(had, is))
    return `the rate was converted from ${original.frameRate} to ${copy.frameRate}`;
  // Frames off the places of the rate were put on them; in step they are with none twice and none left out.
  const { steady, frames } = original;
  const isEven = steady === undefined ? original.constantRate !== false : steady.frames === frames;
  return isEven ? null : 'the original has no constant rate';
}
