import type { Verdict } from '../../jobs/verdict.js';

/**
 * The exit code of a command that judged: 1 when a file fails (when `strict`, also when one only warns), 3 when a
 * requirement could not be measured or nothing was judged at all, 0 otherwise.
 */
export function verdictExitCode(
  verdicts: readonly Verdict[],
  { strict }: { readonly strict: boolean },
): 0 | 1 | 3 {
  const has = (outcome: string): boolean =>
    verdicts.some(({ findings }) => findings.some((finding) => finding.outcome === outcome));
  if (has('fail') || verdicts.some(({ verdict }) => verdict === 'fail')) return 1;
  if (strict && has('warn')) return 1;
  return has('unmeasured') || verdicts.length === 0 ? 3 : 0;
}
