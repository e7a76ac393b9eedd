import type { Verdict } from '../../jobs/verdict/verdict.js';

/** The verdict of a file that is there and cannot be read at all: nothing could be measured, and it fails. */
export function unreadableVerdict(file: string, target: string, reason: string): Verdict {
  return {
    schema: 'goodgate/verdict@1',
    file,
    target,
    verdict: 'fail',
    findings: [
      {
        requirement: 'decode',
        outcome: 'fail',
        expected: 'a file that decodes whole',
        limits: { maxErrors: 0 },
        measured: `it cannot be read: ${reason}`,
        at: [],
        everyPlace: false,
        waiver: null,
        why: 'A file that does not open here will not open at the other end.',
        advice:
          'Copy it again from its source and compare checksums; if the source is the same, make it again.',
        source: 'implied: a damaged file is never fit to use',
      },
    ],
  };
}
