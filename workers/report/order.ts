import type { Finding, Outcome, Verdict } from '../../jobs/verdict/verdict.js';
import { standingOfVerdict } from './summary/standing.js';

/** Problems first, wherever findings are shown. */
const OUTCOMES: readonly Outcome[] = ['fail', 'unmeasured', 'warn', 'pass'];

/**
 * Findings from the worst to the passed, what a person waived just before those that passed; within one
 * outcome in the order of the requirements.
 */
export function worstFindingsFirst(findings: readonly Finding[]): Finding[] {
  const rank = ({ outcome, waiver }: Finding): number =>
    waiver === null ? OUTCOMES.indexOf(outcome) : OUTCOMES.indexOf('pass') - 0.5;
  return [...findings].sort((a, b) => rank(a) - rank(b));
}

/** Verdicts from the worst to the passed, unmeasured before warned; alike ones in the order given. */
export function worstVerdictsFirst(verdicts: readonly Verdict[]): Verdict[] {
  return [...verdicts].sort(
    (a, b) => OUTCOMES.indexOf(standingOfVerdict(a)) - OUTCOMES.indexOf(standingOfVerdict(b)),
  );
}
