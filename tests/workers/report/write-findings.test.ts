import { mkdtemp, readdir, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { writeFindings } from '../../../workers/report/write-findings.js';
import { measured, video } from '../judge/measured.js';
import { batchOf, HOT, PASS } from './html/html-batch.js';

let out: string;
beforeAll(async () => {
  out = await mkdtemp(join(tmpdir(), 'goodgate-findings-'));
});
afterAll(() => rm(out, { recursive: true }));
const markers = async () =>
  (await readdir(join(out, 'markers'), { recursive: true })).filter((file) => file.endsWith('.edl')).sort();

describe('writeFindings', () => {
  it('writes one table, and markers for each file with places, once for all its targets', async () => {
    const { batch, documents } = batchOf([
      {
        clip: 'A/a.mov',
        path: 'proxy-h264/A/a.mp4',
        word: 'fail',
        findings: [PASS, HOT],
        measurement: measured(),
      },
      {
        clip: 'A/a.mov',
        kind: 'original',
        target: 'one',
        path: '/m/a.mov',
        word: 'fail',
        findings: [HOT],
        measurement: measured(),
      },
      {
        clip: 'A/a.mov',
        kind: 'original',
        target: 'two',
        path: '/m/a.mov',
        word: 'fail',
        findings: [HOT],
        measurement: measured(),
      },
      { clip: 'b.mov', path: 'proxy-h264/b.mp4', word: 'pass', measurement: measured() },
      { clip: 'c.mov', path: 'proxy-h264/c.mp4', word: 'fail', findings: [HOT], measurement: null },
    ]);
    expect((await writeFindings(out, batch, documents)).unmarked).toEqual([]);
    expect(await markers()).toEqual(['originals/A/a.mov.edl', 'proxy-h264/A/a.mp4.edl']);
    const original = await readFile(join(out, 'markers', 'originals', 'A', 'a.mov.edl'), 'utf8');
    // Two places by two targets.
    expect(original.match(/^\d{3} {2}/gm)).toHaveLength(4);
    expect(original).toContain('(one)');
    expect(original).toContain('(two)');
    const rows: unknown[] = parse(await readFile(join(out, 'findings.csv'), 'utf8'), { columns: true });
    // PASS once for a proxy and once for b; HOT has two places, four times.
    expect(rows).toHaveLength(2 + 2 * 4);
  });

  it('takes markers away when there is nothing to mark any more, and says what cannot be marked', async () => {
    const still = measured(video({ frameRate: null }));
    const { batch, documents } = batchOf([
      { clip: 'A/a.mov', path: 'proxy-h264/A/a.mp4', word: 'pass', measurement: measured() },
      {
        clip: 'A/a.mov',
        kind: 'original',
        target: 'one',
        path: '/m/a.mov',
        word: 'fail',
        findings: [HOT],
        measurement: still,
      },
    ]);
    expect((await writeFindings(out, batch, documents)).unmarked).toEqual([
      { file: '/m/master.mov', reason: expect.stringContaining('frame rate') },
    ]);
    expect(await markers()).toEqual([]);
  });
});
