import type { Verdict } from '../../jobs/verdict/verdict.js';

/**
 * The exit code of a command that judged: 1 when a file fails, 3 when a requirement could not be measured or
 * nothing was judged at all, 0 otherwise. With `strict` it is 1 for anything but a pass, unmeasured
 * requirements included. Waived findings do not count.
 */
export function verdictExitCode(
  verdicts: readonly Pick<Verdict, 'verdict' | 'findings'>[],
  { strict }: { readonly strict: boolean },
): 0 | 1 | 3 {
  const has = (outcome: string): boolean =>
    verdicts.some(({ findings }) =>
      findings.some((finding) => finding.outcome === outcome && finding.waiver === null),
    );
  if (has('fail') || verdicts.some(({ verdict }) => verdict === 'fail')) return 1;
  if (strict && (has('warn') || has('unmeasured'))) return 1;
  return has('unmeasured') || verdicts.length === 0 ? 3 : 0;
}
