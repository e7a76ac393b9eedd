import { describe, expect, it } from 'vitest';
import { batchSummary } from '../../../cli/run/summary.js';
import { batchOf, HOT, PASS } from '../../workers/report/html/html-batch.js';

const waiver = { by: 'R. Ibarra', why: 'A neon\u001b[31m sign.', until: '2026-12-31' };
const OPEN = { ...PASS, requirement: 'scan', outcome: 'unmeasured' as const };

describe('batchSummary', () => {
  const { batch, documents } = batchOf([
    { clip: 'a.mov', path: 't/a.mov', word: 'pass' },
    { clip: 'b.mov', path: 't/b.mov', word: 'warn', findings: [PASS, { ...HOT, waiver }] },
    { clip: 'c.mov', path: 't/c.mov', word: 'warn', findings: [PASS, OPEN] },
    { clip: 'd.mov', path: 't/d.mov', word: 'fail', findings: [PASS, { ...OPEN, waiver }, HOT] },
  ]);
  const text = batchSummary(batch, documents, '/out');

  it('begins with the sentence, then the worst, and ends with the paths to open', () => {
    const lines = text.split('\n');
    expect(lines[0]).toBe('2 of 4 fit to use; 2 need you.');
    expect(lines[1]).toBe('4 results from 4 clips: 1 fail, 1 unmeasured, 1 warn, 1 pass.');
    const order = [
      'FAIL       Signal range (EBU R 103): 38.2 % in frame 17;',
      '- t/d.mov (harbour-wall-sdr)',
      'UNMEASURED Scan and field order',
      '- t/c.mov (harbour-wall-sdr)',
      'WARN       waived by R. Ibarra',
      '- t/b.mov (harbour-wall-sdr)',
    ];
    const places = order.map((start) => lines.findIndex((line) => line.trimStart().startsWith(start)));
    expect(places[0]).toBeGreaterThan(0);
    expect([...places].sort((a, b) => a - b)).toEqual(places);
    expect(text).not.toContain('t/a.mov');
    expect(lines.slice(-3)).toEqual([
      'report:   /out/report.html',
      'findings: /out/findings.csv',
      'markers:  /out/markers',
    ]);
  });

  it('says which files are not as they were judged, and believes no verdict of theirs', () => {
    const then = batchOf([
      { clip: 'a.mov', path: 't/a.mov', word: 'pass' },
      { clip: 'b.mov', path: 't/b.mov', word: 'fail', findings: [PASS, HOT] },
    ]);
    const clips = then.batch.clips.map((clip, index) => ({
      ...clip,
      items: clip.items.map((item) => ({ ...item, since: index === 0 ? ('gone' as const) : null })),
    }));
    const told = batchSummary({ ...then.batch, clips }, then.documents, '/out');
    expect(told.split('\n')[0]).toBe('0 of 2 fit to use; 2 need you.');
    expect(told.replaceAll(/\s+/g, ' ')).toContain('UNMEASURED It is not there any more');
    expect(told).toContain('- t/a.mov');
    const waiting = { ...then.batch, state: 'interrupted' as const };
    const [first] = clips;
    if (first === undefined) throw new Error('no clip');
    const stopped = { ...waiting, clips: [{ ...first, state: 'waiting' as const, items: [] }] };
    expect(batchSummary(stopped, then.documents, '/out')).toMatch(/^WAITING {4}Its turn did not come/m);
  });

  it('counts what is waived, and says who accepted it', () => {
    expect(text).toContain('2 findings waived: the report says by whom and until when.');
    expect(text.replaceAll(/\s+/g, ' ')).toContain(
      'waived by R. Ibarra until 2026-12-31: A neon\\u001b[31m sign. (Signal range (EBU R 103): 38.2 % in frame 17;',
    );
  });

  it('counts clips that the manifest skips, and counts them as no result', () => {
    const skipped = ['x.mov', 'y.mov'].map((clip) => ({ clip, by: 'rule 1 (file x)' }));
    const { batch: some, documents: own } = batchOf([{ clip: 'a.mov', path: 't/a.mov', word: 'pass' }], {
      skipped,
    });
    const told = batchSummary(some, own, '/out');
    expect(told).toContain('2 clips skipped by the manifest: the report names them.');
    expect(told).toContain('1 result from 1 clip: 1 pass.');
  });

  it('tells of sound recorded apart, which counts as no result', () => {
    const apart = { words: '10:00:00:00', beside: ['a.mov'], laidInto: [] };
    const soundApart = [
      { ...apart, file: 's.wav', laidInto: ['a.mov'] },
      { ...apart, file: 't.wav' },
    ];
    const { batch: some, documents: own } = batchOf([{ clip: 'a.mov', path: 't/a.mov', word: 'pass' }], {
      soundApart,
    });
    const told = batchSummary(some, own, '/out');
    expect(told).toContain('2 files of sound recorded apart, 1 laid into clips: named in the report.');
    expect(told).toContain('1 result from 1 clip: 1 pass.');
  });

  it('names no file that is not there', () => {
    const clean = batchOf([{ clip: 'a.mov', path: 't/a.mov', word: 'pass' }]);
    const short = batchSummary(clean.batch, clean.documents, '/out');
    expect(short).not.toContain('markers:');
    expect(short).not.toContain('waived');
    expect(short.split('\n')[0]).toBe('1 of 1 fit to use.');
  });
});
