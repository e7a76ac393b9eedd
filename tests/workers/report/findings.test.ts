import { describe, expect, it } from 'vitest';
import { findings as findingsSchema } from '../../../jobs/verdict/findings.js';
import type { Finding, Verdict } from '../../../jobs/verdict/verdict.js';
import { textWidth, visible, wrap } from '../../../jobs/words/plain-text.js';
import { formatFindingsJson } from '../../../workers/report/findings-json.js';
import { formatFindings } from '../../../workers/report/findings-text.js';
import { formatJunit } from '../../../workers/report/junit.js';

function finding(outcome: Finding['outcome'], requirement: string, more: Partial<Finding> = {}): Finding {
  return {
    requirement,
    outcome,
    expected: 'at most 1 % of the picture outside 20 (-5.0 %) to 984 (105.0 %) at 10 bits',
    limits: { maxArea: 0.01 },
    measured: '2.34 % outside, worst in frame 25',
    at: [{ from: 25, to: 30, fromTimecode: '10:00:01:00', toTimecode: '10:00:01:05' }],
    why: 'Levels outside the tolerance are clipped somewhere down the line.',
    advice: outcome === 'pass' ? '' : 'Bring the picture into range in the grade.',
    source: 'EBU R 103 v3.0',
    everyPlace: true,
    waiver: null,
    ...more,
  };
}
function verdict(word: Verdict['verdict'], file: string, findings: Finding[]): Verdict {
  return { schema: 'goodgate/verdict@1', file, target: 'hd-sdr-master', verdict: word, findings };
}

/** A name that would recolour the terminal, forge a line, turn the text round, and break out of XML. */
const HOSTILE = 'a\u001b[31m\nPASS  b\u202e"<script>&]]>\u0007\u0000\ufffe.mov';
const VERDICTS = [
  verdict('pass', '/m/good.mov', [finding('pass', 'raster')]),
  verdict('warn', '/m/unclear.mov', [
    finding('pass', 'raster'),
    finding('unmeasured', 'scan'),
    finding('warn', 'timecode'),
  ]),
  verdict('fail', HOSTILE, [
    finding('pass', 'raster'),
    finding('warn', 'scan'),
    finding('fail', 'signal-range'),
  ]),
];

describe('formatFindings', () => {
  const text = formatFindings(VERDICTS);
  const lines = text.split('\n');

  it('begins with the sentence somebody needs', () => {
    expect(lines[0]).toBe('1 of 3 fit to use; 2 need you; 1 requirement could not be measured.');
  });
  it('puts problems first, files and findings alike', () => {
    const order = [
      'FAIL  a',
      'FAIL  signal-range',
      'WARN  scan',
      'UNMEASURED /m/unclear.mov',
      'UNMEASURED scan',
      'WARN  timecode',
      'PASS  /m/good.mov',
    ];
    const places = order.map((mark) => text.indexOf(mark));
    expect(places.every((place) => place >= 0)).toBe(true);
    expect([...places].sort((a, b) => a - b)).toEqual(places);
  });
  it.each([40, 80, 120])('keeps to %i columns', (width) => {
    const long = [
      ...VERDICTS,
      verdict('fail', `/m/${'長い名前'.repeat(40)}.mov`, [finding('fail', 'raster')]),
    ];
    for (const line of formatFindings(long, { width }).split('\n'))
      expect(textWidth(line)).toBeLessThanOrEqual(width);
  });
  it('shows control and direction characters instead of sending them', () => {
    expect(text).toContain('a\\u001b[31m\\nPASS  b\\u202e"<script>');
    expect(Array.from(text).filter((c) => c !== '\n' && (c < ' ' || c === '\u202e'))).toEqual([]);
  });
  it('says where in timecode and frames, what is wanted, why and what to do', () => {
    expect(text).toContain('10:00:01:00 to 10:00:01:05 (5 frames from frame 25)');
    for (const field of ['expected', 'measured', 'why', 'do', 'source'])
      expect(text).toContain(`        ${field}`);
  });
  it('counts the places it does not list', () => {
    const at = Array.from({ length: 9 }, (_, i) => ({
      from: 2 * i,
      to: 2 * i + 1,
      fromTimecode: null,
      toTimecode: null,
    }));
    expect(formatFindings([verdict('fail', 'x', [finding('fail', 'raster', { at })])])).toContain(
      'and 4 more',
    );
  });
  it('says when the places it lists may not be all', () => {
    const example = finding('fail', 'raster', { everyPlace: false });
    expect(formatFindings([verdict('fail', 'x', [example])], { width: 120 })).toContain(
      'and perhaps elsewhere',
    );
    expect(formatJunit([verdict('fail', 'x', [example])])).toContain('and perhaps elsewhere');
    expect(text).not.toContain('elsewhere');
  });
  it('is coloured only when asked', () => {
    expect(formatFindings(VERDICTS, { colour: true })).toContain('\u001b[31mFAIL  \u001b[0m');
  });
  it('of nothing says so', () => {
    expect(formatFindings([])).toContain('Nothing was judged.');
  });
});

describe('wrap and visible', () => {
  it('breaks at blanks, and words that are too long', () => {
    expect(wrap('one two three', 7)).toEqual(['one two', 'three']);
    expect(wrap('abcdefgh i', 3)).toEqual(['abc', 'def', 'gh', 'i']);
    expect(wrap('日本語', 4)).toEqual(['日本', '語']);
  });
  it('leaves letters of every language as they are', () => {
    expect(visible('Žlutý kůň 日本語 العربية')).toBe('Žlutý kůň 日本語 العربية');
  });
});

describe('formatJunit', () => {
  const xml = formatJunit(VERDICTS);
  it('has a suite for each file, a case for each requirement, and the right counts', () => {
    expect(xml.match(/<testsuite /g)).toHaveLength(3);
    expect(xml.match(/<testcase /g)).toHaveLength(7);
    expect(xml).toContain('<testsuites name="goodgate" tests="7" failures="1" errors="1" skipped="0">');
  });
  it('makes a failure of a failure, an error of the unmeasured, output of a warning, nothing of a pass', () => {
    expect(xml.match(/<failure /g)).toHaveLength(1);
    expect(xml.match(/<error /g)).toHaveLength(1);
    expect(xml.match(/<system-out>/g)).toHaveLength(2);
    expect(xml).toContain('name="raster"/>');
  });
  it('writes only what XML 1.0 allows, and cannot be broken out of', () => {
    // XML 1.0 fifth edition, clause 2.2, production Char.
    expect(xml).toMatch(/^[\t\n\r\u0020-\ud7ff\ue000-\ufffd\u{10000}-\u{10ffff}]*$/u);
    expect(xml).toContain('a[31m&#10;PASS  b\u202e&quot;&lt;script&gt;&amp;]]&gt;.mov');
    expect(xml).not.toContain('<script');
  });
  it('drops half a surrogate pair', () => {
    expect(formatJunit([verdict('pass', 'x\ud800y', [])])).toContain('name="xy (hd-sdr-master)"');
  });
});

describe('formatFindingsJson', () => {
  it('is one document of its schema, worst first', () => {
    const document = findingsSchema.parse(JSON.parse(formatFindingsJson(VERDICTS)));
    expect(document.totals).toEqual({ files: 3, pass: 1, warn: 1, fail: 1, unmeasured: 1, waived: 0 });
    expect(document.verdicts.map((v) => v.verdict)).toEqual(['fail', 'warn', 'pass']);
    expect(document.verdicts[0]?.file).toBe(HOSTILE);
  });
});
