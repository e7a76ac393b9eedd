import type { Finding, Outcome } from '../../../jobs/verdict/verdict.js';
import { count } from '../../../jobs/words/numbers.js';
import { startText } from '../../../jobs/words/places.js';
import { requirementTitle } from '../../judge/requirement-title.js';
import { describeWaiver } from '../describe-finding.js';

/** One thing that is wrong with a file, in one line with its figure. */
export interface Fault {
  readonly outcome: Outcome;
  /** Null where it is no finding of a requirement. */
  readonly requirement: string | null;
  /** What is wrong: `Programme loudness: -16.00 LUFS`. */
  readonly what: string;
  /** `expected -23 LUFS within 0.2 LU`, with the first place before it where there is one; may be empty. */
  readonly expected: string;
  /** Who accepted it, until when and why; null where nobody did. */
  readonly waived: string | null;
  readonly advice: string;
}

/** A finding in one line: what was measured, where first, and what was expected. */
export function faultOf(finding: Finding): Fault {
  const { requirement, outcome, measured, expected, at, waiver, advice } = finding;
  const [first] = at;
  const more = at.length > 1 ? ` and ${count(at.length - 1, 'more place')}` : '';
  const place = first === undefined ? '' : `at ${startText(first)}${more}; `;
  return {
    ...{ outcome, requirement, advice },
    what: `${requirementTitle(requirement)}: ${shortMeasured(measured)}`,
    expected: `${place}expected ${requirement === LISTS ? expected : shortExpected(expected)}`,
    waived: waiver === null ? null : describeWaiver(waiver),
  };
}

/** A fault on one line, for a terminal. */
export function faultText({ what, expected }: Pick<Fault, 'what' | 'expected'>): string {
  return expected === '' ? what : `${what}; ${expected}`;
}

/** What it expects is a list, of which each word counts. */
const LISTS = 'as-original';
/** Characters after which further clauses of a figure are left to the finding itself. */
const SHORT = 60;

/** The first sentence, and no number of a stream where there is one only; the finding itself has all. */
function shortMeasured(measured: string): string {
  const [first = measured] = measured.split(/\.\s+(?=\p{Lu})/u, 1);
  return firstClauses(/\bstream [2-9]/.test(first) ? first : first.replace(/^stream 1: /, ''));
}

/** Without the edition of the standard, which stands in the finding itself. */
function shortExpected(expected: string): string {
  return firstClauses(expected.replace(/(?:, integrated)?, (?:ITU-R|EBU|CTA|SMPTE|BS\.)[^,;]*$/, ''));
}

function firstClauses(text: string): string {
  let short = '';
  for (const clause of text.split(', ')) {
    const longer = short === '' ? clause : `${short}, ${clause}`;
    if (short !== '' && longer.length > SHORT) return short;
    short = longer;
  }
  return short;
}
