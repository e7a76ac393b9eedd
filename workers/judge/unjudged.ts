import type { Finding, Verdict } from '../../jobs/verdict/verdict.js';

/** The finding on a file of which nothing could be measured. */
const FINDINGS = {
  /** The file exists and cannot be read: it fails. */
  unreadable: (reason: string) => ({
    outcome: 'fail',
    measured: `the file cannot be read: ${reason}`,
    why: 'A file that cannot be opened here will not open at the receiver.',
    advice: 'Copy it again from its source and compare checksums; if the source is the same, make it again.',
  }),
  /** The file changed during the measurement: it is not known which version should be judged. */
  changed: (reason: string) => ({
    outcome: 'unmeasured',
    measured: reason,
    why: 'Figures measured while a file changes describe neither version of it.',
    advice: 'Wait until the file is finished, then check it again.',
  }),
} as const satisfies Record<string, (reason: string) => Partial<Finding>>;

/** The verdict of a file of which nothing could be measured. */
export function unjudgedVerdict(
  file: string,
  target: string,
  { why, reason }: { readonly why: keyof typeof FINDINGS; readonly reason: string },
): Verdict {
  const finding: Finding = {
    requirement: 'decode',
    expected: 'a file that decodes completely',
    limits: { maxErrors: 0 },
    at: [],
    everyPlace: false,
    waiver: null,
    source: 'implied: a damaged file is never fit to use',
    ...FINDINGS[why](reason),
  };
  const verdict = finding.outcome === 'fail' ? 'fail' : 'warn';
  return { schema: 'goodgate/verdict@1', file, target, verdict, findings: [finding] };
}
