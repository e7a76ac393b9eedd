import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import type { Finding, Verdict } from '../../../jobs/verdict/verdict.js';
import { formatFindingsCsv } from '../../../workers/report/findings-csv.js';
import { undoneOf } from '../../../workers/report/summary/undone.js';
import { batchOf, HOT, PASS } from './html/html-batch.js';

function csvOf(findings: readonly Finding[], file = '/m/a.mov'): string {
  const verdict: Verdict = {
    schema: 'goodgate/verdict@1',
    file,
    target: 't',
    verdict: 'fail',
    findings: [...findings],
  };
  return formatFindingsCsv([verdict]);
}
/** Read by a library that knows the format, not by our own rules. */
function rows(text: string): Record<string, string>[] {
  return parse(text, { bom: true, columns: true, record_delimiter: '\r\n' });
}

describe('formatFindingsCsv', () => {
  it('begins with what became no file: unreadable and missing, refused, not done', () => {
    const { batch, documents } = batchOf(
      [{ clip: 'a.mov', path: 't/a.mov', word: 'fail', findings: [HOT] }],
      {
        unreadable: [
          {
            file: 'card/=1+1.mov',
            reason: 'it is missing: the hash list of the card names it',
            next: 'Copy it.',
          },
        ],
        refused: [
          { clip: 'b.mov', target: 'proxy-h264', reason: 'the file has no picture', next: 'take it out' },
        ],
      },
    );
    const text = formatFindingsCsv([...documents.verdicts.values()], undoneOf(batch));
    expect(
      rows(text).map((row) => [row.file, row.target, row.verdict, row.outcome, row.why, row.advice]),
    ).toEqual([
      [
        ...['card/=1+1.mov', '', 'unreadable', 'unreadable'],
        ...['it is missing: the hash list of the card names it', 'Copy it.'],
      ],
      ['b.mov', 'proxy-h264', 'refused', 'refused', 'the file has no picture', 'take it out'],
      ...HOT.at.map(() => expect.arrayContaining(['t/a.mov', 'fail'])),
    ]);
  });

  it('has a row for each place, and one for a finding without any', () => {
    const read = rows(csvOf([PASS, HOT]));
    expect(
      read.map((row) => [row.requirement, row.outcome, row.from_frame, row.to_frame, row.from_timecode]),
    ).toEqual([
      ['signal-range', 'fail', '0', '12', '10:00:00:00'],
      ['signal-range', 'fail', '17', '18', '10:00:00:17'],
      ['raster', 'pass', '', '', ''],
    ]);
  });

  it('says who waived', () => {
    const waiver = { by: 'R. Ibarra', why: 'A "neon" sign, approved', until: '2026-12-31' };
    const [row] = rows(csvOf([{ ...HOT, waiver }]));
    expect(row).toMatchObject({ waived_by: 'R. Ibarra', waived_until: '2026-12-31', waived_why: waiver.why });
  });

  // RFC 4180, 2.1 to 2.7: CRLF after every line, quotes doubled in quotes, as many fields in every row.
  it('keeps to RFC 4180', () => {
    const text = csvOf([{ ...HOT, measured: 'a, "b"' }]);
    expect(text.endsWith('\r\n')).toBe(true);
    expect(text.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
    expect(text).toContain('"a, ""b"""');
    expect(() => parse(text, { relax_column_count: false })).not.toThrow();
  });

  it.each([
    ['=HYPERLINK("http://x")', `'=HYPERLINK("http://x")`],
    ['+1+1', "'+1+1"],
    ['-23 LUFS', "'-23 LUFS"],
    ['@SUM(A1)', "'@SUM(A1)"],
    ['  =1+1', "'  =1+1"],
    ['\uff1d1+1', "'\uff1d1+1"],
    ['\t=1+1', '\\t=1+1'],
    ['\r=1+1', '\\r=1+1'],
    ['a\nb', 'a\\nb'],
    ['10:00:00:00', '10:00:00:00'],
    ['it\'s "so"', 'it\'s "so"'],
    ['cd/m²', 'cd/m²'],
  ])('%j is no formula, nor a second line', (text, shown) => {
    const waiver = { by: text, why: text, until: '2026-12-31' };
    const [row] = rows(csvOf([{ ...PASS, measured: text, requirement: text, waiver }], text));
    for (const column of ['file', 'measured', 'requirement', 'waived_by', 'waived_why'])
      expect(row?.[column]).toBe(shown);
  });
});
