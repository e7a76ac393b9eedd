import { isAtLeast, type Severity, severityOf } from '../../jobs/plan/loss-severity.js';
import type { PlannedOutput } from '../../jobs/plan/plan.js';
import { count } from '../../jobs/words/numbers.js';

/**
 * Why an output is refused that loses more than it may; null: it is made. What is rendered is made to be
 * looked at and loses on purpose: only outputs that keep the colour of the clip are refused. Pure.
 */
export function refusedLoss(
  { losses, recipe }: Pick<PlannedOutput, 'losses' | 'recipe'>,
  least: Severity | undefined,
): { readonly reason: string; readonly next: string } | null {
  if (least === undefined || recipe.rendering !== null) return null;
  const [first, ...others] = losses.filter(({ what }) => isAtLeast(what, least));
  if (first === undefined) return null;
  const more = others.length === 0 ? '' : `, and ${count(others.length, 'loss', 'losses')} more`;
  return {
    reason: `it would lose ${first.what} (${severityOf(first.what)}): ${first.why}${more}`,
    next: 'take a target that keeps it (goodgate targets), or allow it: --refuse-losses names what is refused',
  };
}
