import type { Finding, Verdict } from '../../jobs/verdict/verdict.js';

/** What a finding says of a file of which nothing could be measured. */
const FINDINGS = {
  /** It is there, and cannot be read at all: it fails. */
  unreadable: (reason: string) => ({
    outcome: 'fail',
    measured: `it cannot be read: ${reason}`,
    why: 'A file that does not open here will not open at the other end.',
    advice: 'Copy it again from its source and compare checksums; if the source is the same, make it again.',
  }),
  /** Somebody wrote to it meanwhile: which of the two files should be judged, nobody knows. */
  changed: (reason: string) => ({
    outcome: 'unmeasured',
    measured: reason,
    why: 'Figures of a file that changes belong to no file.',
    advice: 'Let whatever writes it finish, then check it again.',
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
    expected: 'a file that decodes whole',
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
