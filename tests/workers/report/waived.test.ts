import { describe, expect, it } from 'vitest';
import { findings as findingsSchema } from '../../../jobs/verdict/findings.js';
import type { Finding, Verdict } from '../../../jobs/verdict/verdict.js';
import { isFit } from '../../../workers/report/describe-finding.js';
import { formatFindingsJson } from '../../../workers/report/findings-json.js';
import { formatFindings } from '../../../workers/report/findings-text.js';
import { formatJunit } from '../../../workers/report/junit.js';
import { worstFindingsFirst } from '../../../workers/report/order.js';
import { HOT, PASS } from './html/html-batch.js';

/** What somebody might write to forge a line, recolour a terminal, or break out of XML. */
const HOSTILE = 'x"\n  PASS  signal-range\u001b[31m </skipped><script>&]]>\u0000\u202e';
const WAIVED: Finding = { ...HOT, waiver: { by: 'R. Ibarra', why: 'A neon sign.', until: '2026-12-31' } };
const ODD: Finding = {
  ...HOT,
  requirement: 'scan',
  waiver: { by: HOSTILE, why: HOSTILE, until: '2026-12-31' },
};
const OPEN: Finding = { ...HOT, requirement: 'chroma', outcome: 'unmeasured', waiver: WAIVED.waiver };

function verdict(word: Verdict['verdict'], ...findings: Finding[]): Verdict {
  return { schema: 'goodgate/verdict@1', file: '/m/master.v2.mov', target: 't', verdict: word, findings };
}

describe('a waived finding', () => {
  const all = verdict('warn', PASS, WAIVED, ODD, OPEN);

  it('in text: what was found, and who accepted it until when and why', () => {
    const text = formatFindings([all], { width: 100 });
    expect(text).toContain('1 of 1 fit to use; 3 findings are waived.');
    expect(text).toContain('WAIVED FAIL  signal-range');
    expect(text).toContain('WAIVED UNMEASURED chroma');
    expect(text).toMatch(/waived +by R\. Ibarra until 2026-12-31: A neon sign\./);
    expect(text).not.toContain('could not be measured');
    expect(text).toContain('\\n  PASS  signal-range\\u001b');
    expect(Array.from(text).filter((c) => c !== '\n' && (c < ' ' || c === '\u202e'))).toEqual([]);
  });

  it('in JUnit: skipped, with the reason, and never broken out of', () => {
    const xml = formatJunit([all]);
    expect(xml).toContain('<testsuites name="goodgate" tests="4" failures="0" errors="0" skipped="3">');
    expect(xml).toContain('<skipped message="waived by R. Ibarra until 2026-12-31: A neon sign."/>');
    expect(xml.match(/<skipped /g)).toHaveLength(3);
    expect(xml).not.toMatch(/<failure|<error|<script|<\/skipped>/);
    // XML 1.0 fifth edition, clause 2.2, production Char.
    expect(xml).toMatch(/^[\t\n\r\u0020-\ud7ff\ue000-\ufffd\u{10000}-\u{10ffff}]*$/u);
  });

  it('in JUnit, the class is one package and one class whatever dots a name has', () => {
    expect(formatJunit([all])).toContain('classname="t./m/master_v2_mov"');
  });

  it('in JSON: as it was written, and counted', () => {
    const document = findingsSchema.parse(JSON.parse(formatFindingsJson([all])));
    expect(document.totals).toEqual({ files: 1, pass: 0, warn: 1, fail: 0, unmeasured: 0, waived: 3 });
    expect(document.verdicts[0]?.findings[2]?.waiver).toEqual(ODD.waiver);
  });

  it('stands after what needs somebody and before what passed', () => {
    const warn: Finding = { ...HOT, requirement: 'w', outcome: 'warn' };
    const order = worstFindingsFirst([PASS, WAIVED, OPEN, warn, HOT]);
    expect(order).toEqual([HOT, warn, WAIVED, OPEN, PASS]);
  });
});

describe('isFit', () => {
  it.each<[string, Verdict, boolean]>([
    ['all pass', verdict('pass', PASS), true],
    ['what does not pass is waived', verdict('warn', PASS, WAIVED), true],
    ['one is waived, one only warns', verdict('warn', WAIVED, { ...HOT, outcome: 'warn' }), true],
    ['one is waived, one unmeasured', verdict('warn', WAIVED, { ...OPEN, waiver: null }), false],
    ['one is waived, one fails', verdict('fail', WAIVED, HOT), false],
    ['fails without a finding', verdict('fail'), false],
  ])('%s', (_, one, fit) => {
    expect(isFit(one)).toBe(fit);
  });
});
