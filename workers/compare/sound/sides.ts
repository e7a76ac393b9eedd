import type { OutputRecipe } from '../../../jobs/plan/plan.js';

/** A channel of a stereo stream. */
export type Side = 'left' | 'right';

type StereoParts = NonNullable<NonNullable<OutputRecipe['audio']>['stereo']>;

/**
 * Two mono tracks that became left and right as they were: each side then is one track, and can be held
 * against it. Null for all other ways to make stereo. Pure.
 */
export function sidesOf(
  parts: StereoParts,
): readonly { readonly stream: number; readonly side: Side }[] | null {
  const sides = parts.flatMap(({ stream, left, right }): { stream: number; side: Side }[] => {
    if (left.join() === '1' && right.join() === '0') return [{ stream, side: 'left' }];
    return left.join() === '0' && right.join() === '1' ? [{ stream, side: 'right' }] : [];
  });
  const isBoth = parts.length === 2 && new Set(sides.map(({ side }) => side)).size === 2;
  return isBoth ? sides : null;
}

/** One side of a stereo stream, as a stream of its own. */
export function sideFilter(side: Side): string {
  return `pan=mono|c0=c${side === 'left' ? 0 : 1}`;
}
