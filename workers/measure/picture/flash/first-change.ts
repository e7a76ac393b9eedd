import { type ChangeRule, HARMFUL_AREA } from './rules.js';

/** The first change of a file whose light was already on its way when the file began. */
export interface FirstChange {
  /** Frame in which it was seen to be complete: a whole change away from the first frame. */
  readonly frame: number;
  /** Frame in which it was complete in truth, as later ones show; below 0: before the file. */
  readonly since: number;
}

/**
 * Part of a swing that its light may be short of the extreme: a step is there at once, whatever noise
 * follows.
 */
const NEAR_EXTREME = 0.1;

/**
 * Changes are counted where they are complete: a whole change away from the extreme before. Of the first
 * change of a file that begins in the middle of a swing that extreme is not seen, so that it is found late,
 * and four leading edges of a slow swell seemed to lie within a second. It is placed as long before its own
 * extreme as the next change of its kind was. Only where the first frame stands a whole change beyond the
 * extreme that the light then comes back to, and where the change takes in so much of the screen that every
 * quarter of it has part in it; null else.
 *
 * @param up, down part of the screen that completed a change in each frame
 * @param light mean luminance of each frame, cd/m2
 */
export function firstUnderWay(
  up: Float64Array,
  down: Float64Array,
  light: Float64Array,
  isChange: ChangeRule,
): FirstChange | null {
  const next = (part: Float64Array, from: number): number => {
    const found = part.subarray(from).findIndex((area) => area > 0);
    return found < 0 ? part.length : from + found;
  };
  const [firstUp, firstDown] = [next(up, 0), next(down, 0)];
  const way = firstUp < firstDown ? 1 : -1;
  const [own, opposite] = way === 1 ? [up, down] : [down, up];
  const frame = Math.min(firstUp, firstDown);
  if (!((own[frame] ?? 0) >= 1 - HARMFUL_AREA)) return null;
  const back = next(opposite, frame);
  const again = next(own, back);
  const backAgain = next(opposite, again);
  if (backAgain === up.length) return null;
  const towards = light.map((nits) => way * nits);
  // Between two changes can lie a film: no call takes so many arguments.
  const highest = (from: number, to: number): number =>
    towards.subarray(from, to).reduce((most, nits) => Math.max(most, nits), Number.NEGATIVE_INFINITY);
  const trough = towards
    .subarray(back, again)
    .reduce((least, nits) => Math.min(least, nits), Number.POSITIVE_INFINITY);
  const [start, turned] = [towards[0] ?? trough, way * trough];
  if (start <= trough || !isChange(Math.min(way * start, turned), Math.max(way * start, turned))) return null;
  /** Frames from a change to where its light is at its extreme, or nearly. */
  const rest = (from: number, to: number): number => {
    const extreme = highest(from, to);
    return towards
      .subarray(from, to)
      .findIndex((nits) => nits >= extreme - NEAR_EXTREME * (extreme - trough));
  };
  const since = frame + rest(frame, back) - rest(again, backAgain);
  return since < frame ? { frame, since } : null;
}
