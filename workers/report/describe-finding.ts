import type { Acceptance, Verdict } from '../../jobs/verdict/verdict.js';
import { visible } from '../../jobs/words/plain-text.js';

/** Who accepted a finding, until when and why; on one line whatever people wrote. */
export function describeWaiver({ by, why, until }: Acceptance): string {
  return visible(`by ${by} until ${until}: ${why}`);
}

/**
 * Whether a file can be used as it is: nothing failed and everything was measured, or a person accepted what
 * did not or was not.
 */
export function isFit({ verdict, findings }: Verdict): boolean {
  return (
    verdict !== 'fail' &&
    findings.every(({ outcome, waiver }) => outcome === 'pass' || outcome === 'warn' || waiver !== null)
  );
}
