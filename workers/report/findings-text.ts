import type { Finding, Outcome, Verdict } from '../../jobs/verdict/verdict.js';
import { placeList } from '../../jobs/words/places.js';
import { visible, wrap } from '../../jobs/words/plain-text.js';
import { describeWaiver, isFit } from './describe-finding.js';
import { worstFindingsFirst, worstVerdictsFirst } from './order.js';
import { standingOfVerdict } from './summary/standing.js';

export interface TextOptions {
  /** Mark outcomes by ANSI colours, for a terminal that asked for it. */
  readonly colour?: boolean;
  /** Columns; 80 when not given. */
  readonly width?: number;
}

const LABELS: Readonly<Record<Outcome, string>> = {
  fail: 'FAIL',
  unmeasured: 'UNMEASURED',
  warn: 'WARN',
  pass: 'PASS',
};
const ANSI: Readonly<Record<Outcome, string>> = {
  fail: '\u001b[31m',
  unmeasured: '\u001b[35m',
  warn: '\u001b[33m',
  pass: '\u001b[32m',
};
/** Wider than the others, and beside them: what was found stays to be seen. */
const WAIVED = 'WAIVED ';
const ANSI_END = '\u001b[0m';
/** More places than this are counted, not listed: the report has them all. */
const MAX_PLACES = 5;
const LABEL_WIDTH = 6;
const FIELD_WIDTH = 10;

/** Verdicts for people at a terminal: one sentence, then the files that need somebody, then the others. */
export function formatFindings(verdicts: readonly Verdict[], options: TextOptions = {}): string {
  const width = Math.max(40, options.width ?? 80);
  const label = (outcome: Outcome): string => {
    const word = `${LABELS[outcome]} `.padEnd(LABEL_WIDTH);
    return options.colour === true ? `${ANSI[outcome]}${word}${ANSI_END}` : word;
  };
  const blocks = worstVerdictsFirst(verdicts).map((verdict) => file(verdict, width, label));
  return [...wrap(sentence(verdicts), width), '', ...blocks.flatMap((lines) => [...lines, ''])].join('\n');
}

function sentence(verdicts: readonly Verdict[]): string {
  if (verdicts.length === 0) return 'Nothing was judged.';
  const fit = verdicts.filter(isFit).length;
  const findings = verdicts.flatMap((verdict) => verdict.findings);
  const open = findings.filter(({ outcome, waiver }) => outcome === 'unmeasured' && waiver === null).length;
  const waived = findings.filter(({ waiver }) => waiver !== null).length;
  const rest = verdicts.length - fit;
  const need = rest === 0 ? '' : `; ${rest} ${rest === 1 ? 'needs' : 'need'} you`;
  const unknown =
    open === 0 ? '' : `; ${open} ${open === 1 ? 'requirement' : 'requirements'} could not be measured`;
  const accepted = waived === 0 ? '' : `; ${waived} ${waived === 1 ? 'finding is' : 'findings are'} waived`;
  return `${fit} of ${verdicts.length} fit to use${need}${unknown}${accepted}.`;
}

function file(verdict: Verdict, width: number, label: (outcome: Outcome) => string): string[] {
  const standing = standingOfVerdict(verdict);
  const findings = worstFindingsFirst(verdict.findings);
  const problems = findings.filter(({ outcome }) => outcome !== 'pass');
  const passed = findings.filter(({ outcome }) => outcome === 'pass').map(({ requirement }) => requirement);
  const name = `${visible(verdict.file)}  against ${visible(verdict.target)}`;
  return [
    ...indented(label(standing), Math.max(LABEL_WIDTH, LABELS[standing].length + 1), name, width),
    ...problems.flatMap((finding) => problem(finding, width, label)),
    ...(passed.length === 0 ? [] : indented('  ', 2, `Passed: ${passed.join(', ')}`, width)),
  ];
}

function problem(finding: Finding, width: number, label: (outcome: Outcome) => string): string[] {
  const { expected, measured, why, advice, source, waiver } = finding;
  const fields: readonly (readonly [string, string])[] = [
    ['expected', expected],
    ['measured', measured],
    ['at', placeList(finding, MAX_PLACES).join(', ')],
    ['why', why],
    ['do', waiver === null ? advice : ''],
    ['source', source ?? ''],
    ['waived', waiver === null ? '' : describeWaiver(waiver)],
  ];
  const indent = 2 + LABEL_WIDTH;
  return [
    `  ${waiver === null ? '' : WAIVED}${label(finding.outcome)}${visible(finding.requirement)}`,
    ...fields
      .filter(([, text]) => text !== '')
      .flatMap(([field, text]) =>
        indented(
          `${' '.repeat(indent)}${field.padEnd(FIELD_WIDTH)}`,
          indent + FIELD_WIDTH,
          visible(text),
          width,
        ),
      ),
  ];
}

/** `head` before the first line, blanks as wide before the others. */
function indented(head: string, headWidth: number, text: string, width: number): string[] {
  return wrap(text, width - headWidth).map((line, i) => `${i === 0 ? head : ' '.repeat(headWidth)}${line}`);
}
