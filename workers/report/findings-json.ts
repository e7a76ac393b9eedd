import type { Findings } from '../../jobs/verdict/findings.js';
import type { Verdict, VerdictWord } from '../../jobs/verdict/verdict.js';
import { worstVerdictsFirst } from './order.js';

/** The verdicts of one call as one JSON document, `goodgate/findings@1`, ending in a line break. */
export function formatFindingsJson(verdicts: readonly Verdict[]): string {
  const of = (word: VerdictWord): number => verdicts.filter(({ verdict }) => verdict === word).length;
  const document: Findings = {
    schema: 'goodgate/findings@1',
    totals: {
      files: verdicts.length,
      pass: of('pass'),
      warn: of('warn'),
      fail: of('fail'),
      unmeasured: verdicts
        .flatMap(({ findings }) => findings)
        .filter(({ outcome, waiver }) => outcome === 'unmeasured' && waiver === null).length,
      waived: verdicts.flatMap(({ findings }) => findings).filter(({ waiver }) => waiver !== null).length,
    },
    verdicts: worstVerdictsFirst(verdicts),
  };
  return `${JSON.stringify(document, null, 2)}\n`;
}
