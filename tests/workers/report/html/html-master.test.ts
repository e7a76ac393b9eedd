import { describe, expect, it } from 'vitest';
import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import type { Finding } from '../../../../jobs/verdict/verdict.js';
import { linkTo, mediaPages } from '../../../../workers/report/html/pages/media-pages.js';
import { renderMaster } from '../../../../workers/report/html/pages/render-master.js';
import { renderReport } from '../../../../workers/report/html/pages/render-report.js';
import { stillKey } from '../../../../workers/report/stills/still.js';
import { fileHeadline } from '../../../../workers/report/summary/headline.js';
import { reportFiles } from '../../../../workers/report/summary/standing.js';
import { hdrMaster } from '../long-programme.js';
import { batchOf, HOT, measuredOf, PASS, passesOf, type Sample } from './html-batch.js';

const OPEN: Finding = { ...PASS, requirement: 'bit-depth', outcome: 'unmeasured' };
const WAIVED: Finding = { ...HOT, waiver: { by: 'R. Maier', why: 'meant so', until: '2027-01-31' } };

function master(findings: readonly Finding[], word: Sample['word'], measurement?: Measurement): Sample {
  return {
    clip: 'm.mov',
    kind: 'original',
    target: 'house-pq',
    path: '/masters/m.mov',
    word,
    findings,
    ...(measurement === undefined ? {} : { measurement }),
  };
}

/** Every page of a batch, and its report. */
function pagesOf(samples: readonly Sample[], known: Partial<ReturnType<typeof batchOf>['documents']> = {}) {
  const { batch, documents: bare } = batchOf(samples);
  const documents = { ...bare, ...known };
  const pages = mediaPages(batch, reportFiles(batch, documents), documents);
  return {
    batch,
    documents,
    pages: pages.map((page) => ({
      path: page.path,
      name: page.name,
      text: renderMaster(page, batch, documents),
    })),
    report: renderReport(batch, documents),
  };
}

describe('the sentence of one file', () => {
  it.each([
    { findings: [PASS], word: 'pass' as const, says: 'Fit to use.' },
    {
      findings: [PASS, HOT, { ...HOT, requirement: 'loudness' }, OPEN],
      word: 'fail' as const,
      says: 'Not fit to use: 2 requirements are not met, 1 requirement could not be measured.',
    },
    {
      findings: [PASS, OPEN],
      word: 'warn' as const,
      says: 'Unmeasured: 1 requirement could not be measured.',
    },
    {
      findings: [{ ...HOT, outcome: 'warn' as const }],
      word: 'warn' as const,
      says: 'Fit to use, with 1 warning.',
    },
    // A waived failure is told, and no longer keeps the file back; a waived unmeasured one neither.
    { findings: [WAIVED], word: 'warn' as const, says: 'Fit to use, with 1 waived finding.' },
    {
      findings: [{ ...OPEN, waiver: WAIVED.waiver }],
      word: 'warn' as const,
      says: 'Fit to use, with 1 waived finding.',
    },
  ])('is "$says"', ({ findings, word, says }) => {
    const { batch, documents } = batchOf([master(findings, word)]);
    expect(fileHeadline(reportFiles(batch, documents))).toBe(says);
  });

  it('counts targets where there are several, and says so where there is none', () => {
    const two = batchOf([master([PASS], 'pass'), { ...master([HOT], 'fail'), target: 'other' }]);
    expect(fileHeadline(reportFiles(two.batch, two.documents))).toBe('Fit for 1 of 2 targets; 1 needs you.');
    expect(fileHeadline([])).toBe('Measured. No target asks anything of it.');
  });
});

describe('the page of a file', () => {
  const { measurement, asked } = hdrMaster(200);
  const held = asked.flatMap(({ require }) => passesOf(require));

  it('stands beside its measurement, and the report of the batch links to it and back', () => {
    const { pages, report } = pagesOf([master([HOT], 'fail', measurement)]);
    expect(pages.map(({ path }) => path)).toEqual([
      'measurements/0.html',
      'measurements/originals/m.mov.html',
    ]);
    for (const { path } of pages) expect(report).toContain(`href="${linkTo(path)}"`);
    expect(pages[1]?.text).toContain('href="../../report.html"');
    expect(linkTo("measurements/originals/夜 100%/it's.mov.html")).toBe(
      "measurements/originals/%E5%A4%9C%20100%25/it's.mov.html",
    );
  });

  it('is not promised by the report of a batch that was stopped', () => {
    const { batch, documents } = batchOf([master([HOT], 'fail', measurement)], {
      state: 'interrupted',
      finishedAt: null,
    });
    expect(renderReport(batch, documents)).not.toContain('.html"');
  });

  it('begins with every problem in one line, worst first, and each line leads to its finding', () => {
    const [page] = pagesOf([master([PASS, OPEN, HOT, ...held], 'fail', measurement)]).pages;
    const text = page?.text ?? '';
    const list = text.slice(text.indexOf('<ul class="problems">'), text.indexOf('<nav'));
    expect(list.indexOf('Signal range')).toBeLessThan(list.indexOf('Bit depth'));
    expect(list).toContain('10:00:00:00 to 10:00:00:12 (12 frames from frame 0) and 1 more place');
    const ids = new Set([...text.matchAll(/ id="([^"]*)"/g)].map((match) => match[1]));
    for (const [, target] of text.matchAll(/href="#([^"]*)"/g)) expect(ids).toContain(target);
    expect(ids.size).toBe([...text.matchAll(/ id="/g)].length);
  });

  it('says once what two targets say alike', () => {
    const [page] = pagesOf([
      master([HOT], 'fail', measurement),
      { ...master([HOT], 'fail', measurement), target: 'other-pq' },
    ]).pages;
    const list =
      page?.text.slice(page.text.indexOf('<ul class="problems">'), page.text.indexOf('<nav')) ?? '';
    // The fixture gives each verdict a measurement of its own, so each has a page of its own too.
    expect(list.match(/<li>/g)).toHaveLength(1);
  });

  it('shows who accepted a finding, until when and why', () => {
    const [page] = pagesOf([master([WAIVED], 'warn', measurement)]).pages;
    expect(page?.text.replace(/<[^>]*>/g, '')).toContain('Waived by R. Maier until 2027-01-31: meant so');
  });

  it('shows the stills of a finding with their place in words', () => {
    const dataUri = 'data:image/png;base64,AAAA';
    const stills = new Map([
      [
        stillKey('/masters/m.mov', 'house-pq', HOT.requirement),
        [{ frame: 17, timecode: '10:00:00:17', dataUri, caption: 'Hatched: outside.' }],
      ],
    ]);
    const { pages, report } = pagesOf([master([HOT], 'fail', measurement)], { stills });
    for (const text of [pages[0]?.text, report]) {
      expect(text).toContain(`alt="Still of 10:00:00:17 (frame 17). Hatched: outside."`);
      expect(text).toContain(`src="${dataUri}"`);
    }
  });

  it('skips no heading level and labels every drawing', () => {
    const [page] = pagesOf([master([PASS, HOT, ...held], 'fail', measurement)]).pages;
    const levels = [...(page?.text ?? '').matchAll(/<h([1-6])/g)].map((match) => Number(match[1]));
    levels.forEach((level, index) => {
      expect(level - (levels[index - 1] ?? 0)).toBeLessThanOrEqual(1);
    });
    expect(levels.filter((level) => level === 1)).toHaveLength(1);
    const drawings = (page?.text.match(/<div role="img" aria-label="[^"]+">/g) ?? []).length;
    // Light and loudness; places; two histograms on three scales; levels, light and sound in short.
    expect(drawings).toBe(2 + 1 + 6 + 3);
  });
});

describe('the page of a camera original nobody asks anything of', () => {
  it('says in its heading what is damaged', () => {
    const { batch, documents } = batchOf([{ clip: 'a.mov', path: 'proxy-h264/a.mp4', word: 'pass' }]);
    const whole = measuredOf('a.mov');
    const cut = {
      ...whole,
      decode: { ...whole.decode, truncated: true },
      video: whole.video === null ? null : { ...whole.video, frames: 22, framesDeclared: 40 },
    };
    const all = { ...documents, originals: new Map([['a.mov', cut]]) };
    const pages = mediaPages(batch, reportFiles(batch, all), all);
    const page = pages.find(({ kind }) => kind === 'original');
    const text = page === undefined ? '' : renderMaster(page, batch, all);
    expect(text).toContain('<p class="headline">Damaged: it ends early: 22 of 40 frames decoded.</p>');
    expect(renderReport(batch, all)).toContain('<b>ends early: 22 of 40 frames decoded</b>');
  });
});

describe('size', () => {
  const TWO_HOURS = 2 * 3600 * 25;
  const { measurement, asked } = hdrMaster(TWO_HOURS);
  const held = asked.flatMap(({ require }) => passesOf(require));
  const manyPlaces = Array.from({ length: 4000 }, (_, index) => ({
    from: index * 40,
    to: index * 40 + 20,
    fromTimecode: '10:00:00:00',
    toTimecode: '10:00:00:20',
  }));
  const findings = [PASS, { ...HOT, at: manyPlaces }, ...held];

  it('of the page of a two-hour programme is under 1 MB without stills', () => {
    const [page] = pagesOf([master(findings, 'fail', measurement)]).pages;
    const bytes = Buffer.byteLength(page?.text ?? '');
    // 190 kB when this was written.
    expect(bytes).toBeGreaterThan(100_000);
    expect(bytes).toBeLessThan(1_000_000);
  });

  it('of the report of 30 failed two-hour programmes with big stills is under 3 MB', () => {
    const samples = Array.from({ length: 30 }, (_, index) => ({
      ...master(findings, 'fail', measurement),
      clip: `m${index}.mov`,
      path: `/masters/m${index}.mov`,
    }));
    const stills = new Map(
      samples.map(({ path }) => [
        stillKey(path, 'house-pq', HOT.requirement),
        [{ frame: 1, timecode: null, dataUri: `data:image/png;base64,${'A'.repeat(200_000)}`, caption: '' }],
      ]),
    );
    const { batch, documents } = batchOf(samples);
    const report = renderReport(batch, { ...documents, stills });
    expect(Buffer.byteLength(report)).toBeLessThan(3_000_000);
    // The first ones have their plots and stills in the report itself.
    expect(report.match(/<figure class="plot">/g)?.length ?? 0).toBeGreaterThan(10);
    // Three stills of 200 kB are less than the 800 kB there are for them, four with their head are more.
    expect(report.match(/<img /g)?.length).toBe(3);
  });
});
