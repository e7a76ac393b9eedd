import { access, mkdtemp, readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { dirname, join, resolve } from 'node:path';
import axe from 'axe-core';
import type { Browser, Page } from 'puppeteer-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { z } from 'zod';
import { batch as batchSchema } from '../../jobs/plan/batch.js';
import { runFfmpeg } from '../../workers/ffmpeg/run-ffmpeg.js';
import { mediaPages } from '../../workers/report/html/pages/media-pages.js';
import { writeReports } from '../../workers/report/html/pages/write-reports.js';
import { stillKey } from '../../workers/report/stills/still.js';
import { countBatch } from '../../workers/report/summary/count-batch.js';
import { reportFiles } from '../../workers/report/summary/standing.js';
import { ATTACKS, hostileBatch, PIXEL } from '../workers/report/hostile-batch.js';
import { passesOf } from '../workers/report/html/html-batch.js';
import { sampleBatch } from '../workers/report/html/html-samples.js';
import { hdrMaster } from '../workers/report/long-programme.js';
import { openWorkshop, type Workshop } from './goodgate.js';
import {
  crowdedWords,
  findChromium,
  type Look,
  openChromium,
  openReport,
  overflow,
  paleTexts,
  tablesToPush,
  wordsOverCurves,
} from './report-page.js';

const chromium = findChromium();
if (chromium === null) {
  console.warn(
    'no chromium here, so no report was opened in a browser: node cli/setup.mjs --for-tests installs it',
  );
}

/** Of axe-core: the rules that were met, and what is of serious or critical impact, with the first place. */
const SERIOUS_FAULTS = `axe.run().then(({ violations, passes }) => ({
  checked: passes.length,
  faults: violations
    .filter(({ impact }) => impact === 'serious' || impact === 'critical')
    .map(({ id, nodes }) => id + ': ' + nodes[0].html),
}))`;

const LOOKS: Look[] = [
  { width: 1280, scheme: 'light' },
  { width: 1280, scheme: 'dark' },
  { width: 390, scheme: 'light' },
  { width: 390, scheme: 'dark' },
];

describe.skipIf(chromium === null)('a report in a browser', () => {
  let browser: Browser;
  let folder: string;
  /** The report of a batch with one of everything, and the page of its failed PQ master. */
  let batchReport: string;
  let masterPage: string;
  let workshop: Workshop;

  beforeAll(async () => {
    workshop = await openWorkshop();
    folder = await mkdtemp(join(tmpdir(), 'goodgate-browser-'));
    const { batch, documents } = sampleBatch();
    const { measurement, asked } = hdrMaster(5000);
    const pq = [...documents.measurements].find(([, measured]) => measured.luminance !== null)?.[0] ?? '';
    const [verdictFile, verdict] =
      [...documents.verdicts].find(([, { target }]) => target === 'harbour-wall-pq') ?? [];
    if (verdictFile === undefined || verdict === undefined) throw new Error('no verdict on the PQ master');
    const held = asked.flatMap(({ require }) => passesOf(require));
    const all = {
      ...documents,
      measurements: new Map([...documents.measurements, [pq, measurement]]),
      verdicts: new Map([
        ...documents.verdicts,
        [verdictFile, { ...verdict, findings: [...verdict.findings, ...held] }],
      ]),
      stills: new Map([
        [
          stillKey(verdict.file, 'harbour-wall-pq', 'light-level'),
          [{ frame: 12, timecode: '10:00:00:12', dataUri: PIXEL, caption: 'The lamp, hatched.' }],
        ],
      ]),
    };
    await writeReports(folder, batch, all);
    batchReport = join(folder, 'report.html');
    const page = mediaPages(batch, reportFiles(batch, all), all).find(
      ({ measurementFile }) => measurementFile === pq,
    );
    masterPage = join(folder, page?.path ?? '');
    browser = await openChromium(chromium ?? '');
  });

  afterAll(async () => {
    await browser?.close();
    await workshop?.close();
    await rm(folder, { recursive: true, force: true });
  });

  describe.each([
    { what: 'of a batch', path: () => batchReport },
    { what: 'of one master', path: () => masterPage },
  ])('the one $what', ({ path }) => {
    it.each(LOOKS)(
      'asks nobody, complains of nothing, is legible and fits: $width, $scheme',
      async (look) => {
        const { page, requests, complaints } = await openReport(browser, path(), look);
        expect(requests).toEqual([]);
        expect(complaints).toEqual([]);
        // What is folded away must be legible and fit too.
        await page.$$eval('details', (folded) => {
          for (const one of folded) one.open = true;
        });
        expect(await paleTexts(page)).toEqual([]);
        expect((await overflow(page)).by).toBe('');
        expect((await overflow(page)).pixels).toBe(0);
        await page.close();
      },
    );

    it.each([1280, 390])(
      'lets no word in a drawing be cut off, run into another or lie over a curve: %d',
      async (width) => {
        const { page } = await openReport(browser, path(), { width, scheme: 'light' });
        await page.$$eval('details', (folded) => {
          for (const one of folded) one.open = true;
        });
        expect(await crowdedWords(page)).toEqual([]);
        expect(await wordsOverCurves(page)).toEqual([]);
        await page.close();
      },
    );

    it('has no serious fault of accessibility by axe-core (WCAG 2.2 A and AA), light and dark', async () => {
      for (const scheme of ['light', 'dark'] as const) {
        const { page } = await openReport(browser, path(), { width: 1280, scheme });
        await page.$$eval('details', (folded) => {
          for (const one of folded) one.open = true;
        });
        await page.evaluate(axe.source);
        const found = z
          .object({ checked: z.number(), faults: z.array(z.string()) })
          .parse(await page.evaluate(SERIOUS_FAULTS));
        expect(found.faults).toEqual([]);
        expect(found.checked).toBeGreaterThan(10);
        await page.close();
      }
    });

    it('has no table that has to be pushed sideways on a phone', async () => {
      const { page } = await openReport(browser, path(), { width: 390, scheme: 'light' });
      await page.$$eval('details', (folded) => {
        for (const one of folded) one.open = true;
      });
      expect(await tablesToPush(page)).toEqual([]);
      await page.close();
    });

    it('prints the drawings that can be read on paper, and no finding over two pages', async () => {
      const { page } = await openReport(browser, path(), { width: 700, scheme: 'light' });
      await page.emulateMediaType('print');
      const shown = (selector: string) =>
        page.$$eval(selector, (all) => all.map((one) => getComputedStyle(one).display !== 'none'));
      expect(new Set(await shown('.plot .wide'))).toEqual(new Set([false]));
      expect(new Set(await shown('.plot .narrow'))).toEqual(new Set([true]));
      const breaks = await page.$$eval('.finding, .plot, .still, .problems li', (all) =>
        all.map((one) => getComputedStyle(one).breakInside),
      );
      expect(new Set(breaks)).toEqual(new Set(['avoid']));
      const sticksOut = await page.$$eval('.rows td > .badge', (badges) =>
        badges
          .filter((badge) => {
            const cell = badge.parentElement?.getBoundingClientRect();
            return badge.getBoundingClientRect().right > (cell?.right ?? 0) + 1;
          })
          .map((badge) => badge.textContent),
      );
      expect(sticksOut).toEqual([]);
      await page.close();
    });

    it('keeps the words in its drawings large enough to read on a phone', async () => {
      const { page } = await openReport(browser, path(), { width: 390, scheme: 'light' });
      const heights = await page.$$eval('svg text', (texts) =>
        texts
          .filter((text) => text.getClientRects().length > 0)
          .map((text) => text.getBoundingClientRect().height),
      );
      expect(heights.length).toBeGreaterThan(10);
      expect(Math.min(...heights)).toBeGreaterThanOrEqual(9);
      await page.close();
    });
  });

  it('says first what a supervisor needs, and leads to files that are there', async () => {
    const { page } = await openReport(browser, batchReport, { width: 1280, scheme: 'light' });
    expect(await page.$eval('.headline', (line) => line.textContent)).toMatch(
      /^\d+ of \d+ fit to use; \d+ need you\.$/,
    );
    const problems = await page.$$eval('.problems a', (links) =>
      links.map((link) => link.getAttribute('href') ?? ''),
    );
    expect(problems.length).toBeGreaterThan(1);
    const within = problems.filter((href) => href.startsWith('#'));
    expect(within.length).toBeGreaterThan(1);
    for (const href of within) expect(await page.$(href)).not.toBeNull();
    const pages = await page.$$eval('a[href$=".html"]', (links) =>
      links.map((link) => link.getAttribute('href') ?? ''),
    );
    expect(pages.length).toBeGreaterThan(5);
    for (const href of pages) await access(resolve(dirname(batchReport), decodeURIComponent(href)));
    await page.close();
  });

  it('counts the same in headline, bar, lists, table and batch.json', async () => {
    const { page } = await openReport(browser, batchReport, { width: 1280, scheme: 'light' });
    const { batch, documents } = sampleBatch();
    const totals = countBatch(batch, reportFiles(batch, documents));
    expect(totals.results).toBe(totals.fit + totals.needYou + totals.waiting + totals.unjudged);
    const texts = (selector: string) =>
      page.$$eval(selector, (all) => all.map((one) => one.textContent?.replace(/\s+/g, ' ').trim() ?? ''));
    expect(await texts('.headline')).toEqual([
      `${totals.fit} of ${totals.results} fit to use; ${totals.needYou} need you.`,
    ]);
    expect(await texts('.counts li')).toEqual([
      `Unreadable ${totals.unreadable}`,
      `Fail ${totals.fail}`,
      `Unmeasured ${totals.unmeasured}`,
      `Refused ${totals.refused}`,
      `Warn ${totals.warn}`,
      `Pass ${totals.pass}`,
      `${totals.results} results from ${totals.clips} clips`,
    ]);
    const bar = await page.$$eval('.tally span', (all) => all.map((one) => Number(one.style.flexGrow)));
    expect(bar.reduce((sum, count) => sum + count, 0)).toBe(totals.results);
    expect(await texts('nav .n')).toEqual(
      [totals.needYou, totals.warn, totals.results, totals.clips].map(String),
    );
    const linked = (within: string) => page.$$eval(`${within} .whose a`, (links) => links.length);
    expect(await linked('#needs')).toBe(totals.needYou);
    expect(await linked('#warnings')).toBe(totals.warn);
    expect(await page.$$('.rows tbody tr')).toHaveLength(totals.results);
    expect(await page.$$('.clips tbody tr')).toHaveLength(totals.clips);
    expect(
      await page.$$eval('#needs .problems > li > .badge', (all) => all.map((one) => one.textContent)),
    ).toEqual(['Unreadable', 'Fail', 'Fail', 'Unmeasured', 'Refused']);
    await page.close();
  });

  describe.each([true, false])('the table of results, script: %s', (withScript) => {
    const shownRows = (page: Page) =>
      page.$$eval('.rows tbody tr', (rows) =>
        rows
          .filter((row) => getComputedStyle(row).display !== 'none')
          .map((row) => row.querySelector('.badge')?.textContent ?? ''),
      );

    it('is chosen from by verdict, target and requirement', async () => {
      const { page, complaints } = await openReport(
        browser,
        batchReport,
        { width: 1280, scheme: 'light' },
        { withScript },
      );
      const all = await shownRows(page);
      expect(all.length).toBeGreaterThan(8);
      await page.select('#by-verdict', 'v-fail');
      expect(await shownRows(page)).toEqual(['Fail', 'Fail']);
      const loudness = await page.$$eval('#by-requirement option', (options) =>
        options.find((option) => option.textContent?.startsWith('Programme loudness'))?.getAttribute('value'),
      );
      await page.select('#by-requirement', loudness ?? '');
      expect(await shownRows(page)).toEqual(['Fail']);
      await page.select('#by-verdict', '');
      await page.select('#by-requirement', '');
      for (const value of await page.$$eval('#by-target option', (options) =>
        options.map(({ value }) => value),
      )) {
        await page.select('#by-target', value);
        const counted = await page.$eval('#by-target', (list) =>
          list instanceof HTMLSelectElement ? (list.selectedOptions[0]?.textContent ?? '') : '',
        );
        const count = value === '' ? all.length : Number(/\((\d+)\)$/.exec(counted)?.[1]);
        expect(await shownRows(page)).toHaveLength(count);
      }
      expect(complaints).toEqual([]);
      await page.close();
    });

    it('is searched and sorted where there is script, and offers neither where there is none', async () => {
      const { page } = await openReport(
        browser,
        batchReport,
        { width: 1280, scheme: 'light' },
        { withScript },
      );
      const search = await page.$eval('.by-text', (label) => getComputedStyle(label).display !== 'none');
      expect([search, (await page.$$('thead button')).length > 0]).toEqual([withScript, withScript]);
      if (withScript) {
        const all = await shownRows(page);
        await page.type('#by-text', 'TRAILER loudness');
        expect(await shownRows(page)).toEqual(['Fail']);
        await page.$eval('#by-text', (input) => {
          if (input instanceof HTMLInputElement) input.value = '';
          input.dispatchEvent(new Event('input'));
        });
        await page.click('.rows thead th:nth-child(1) button');
        expect(await shownRows(page)).toEqual(all);
        await page.click('.rows thead th:nth-child(1) button');
        expect((await shownRows(page))[0]).toBe('Pass');
        const names = () =>
          page.$$eval('.rows tbody th', (cells) => cells.map((cell) => cell.textContent ?? ''));
        await page.click('.rows thead th:nth-child(2) button');
        const sorted = await names();
        expect(sorted).toEqual([...sorted].sort(new Intl.Collator('en', { numeric: true }).compare));
      }
      await page.close();
    });
  });

  it('shows in the small charts what the target wants', async () => {
    const { page } = await openReport(browser, masterPage, { width: 1280, scheme: 'light' });
    const captions = await page.$$eval('#extremes figcaption', (all) => all.map((one) => one.textContent));
    expect(captions.join(' ')).toContain('Dashed: declared mastering peak 4000, limit 1000.');
    expect(captions.join(' ')).toContain('Stroke: expected, programme −23\u00a0LUFS.');
    await page.close();
  });

  it.each(ATTACKS)('opens with a hostile name in every place, and nothing happens: %j', async (text) => {
    const { batch, documents } = hostileBatch(text);
    const hostile = await mkdtemp(join(tmpdir(), 'goodgate-hostile-'));
    try {
      // Paths of documents are of the program's own making.
      const named = { ...batch, id: 'hostile' };
      await writeReports(hostile, { ...named, state: 'running' }, documents);
      const file = join(hostile, 'report.html');
      const { page, requests, complaints } = await openReport(browser, file, { width: 390, scheme: 'light' });
      await page.$$eval('details', (folded) => {
        for (const one of folded) one.open = true;
      });
      expect([requests, complaints]).toEqual([[], []]);
      expect(await page.$$('script')).toHaveLength(1);
      expect(await page.$$('iframe, object, form')).toHaveLength(0);
      expect((await overflow(page)).pixels).toBe(0);
      await page.close();
    } finally {
      await rm(hostile, { recursive: true, force: true });
    }
  });

  it('shows the still of a finding', async () => {
    const { page } = await openReport(browser, masterPage, { width: 1280, scheme: 'light' });
    expect(await page.$eval('.still img', (image) => image.complete && image.naturalWidth)).toBe(1);
    await page.close();
  });

  it('shows the histogram on the scale the reader chose, by pointer and by keyboard, and prints it', async () => {
    const { page } = await openReport(browser, masterPage, { width: 1280, scheme: 'light' });
    const shown = () =>
      page.$$eval('.scale', (scales) =>
        scales
          .filter((scale) => getComputedStyle(scale).display !== 'none')
          .map((scale) => scale.classList[1]),
      );
    expect(await shown()).toEqual(['nits']);
    await page.click('label[for=scale-percent]');
    expect(await shown()).toEqual(['percent']);
    await page.focus('#scale-percent');
    await page.keyboard.press('ArrowRight');
    expect(await shown()).toEqual(['code']);
    await page.emulateMediaType('print');
    expect(await shown()).toEqual(['code']);
    expect(await page.$eval('nav', (nav) => getComputedStyle(nav).display)).toBe('none');
    expect((await page.pdf({ format: 'A4' })).byteLength).toBeGreaterThan(20_000);
    await page.close();
  });

  it('opens as `goodgate check --report` wrote it for a PQ master whose light is above its limit', async () => {
    const clip = join(workshop.folder, 'too bright "1".mov');
    const target = resolve(dirname(new URL(import.meta.url).pathname), 'bright-limit.yaml');
    // PQ code 800 of 1023 in narrow range is above 2,000 cd/m2, whatever the rounding (BT.2100-3 Table 4).
    const made = await runFfmpeg({
      inputs: [
        {
          path: 'color=c=black:s=64x36:r=25:d=0.4,format=yuv422p10le,geq=lum=if(lt(N\\,5)\\,300\\,800):cb=512:cr=512',
          options: ['-f', 'lavfi'],
        },
      ],
      outputs: [
        {
          path: clip,
          options: [
            '-c:v',
            'prores_ks',
            '-profile:v',
            '3',
            '-color_primaries',
            'bt2020',
            '-color_trc',
            'smpte2084',
            '-colorspace',
            'bt2020nc',
            '-color_range',
            'tv',
            '-timecode',
            '10:00:00:00',
          ],
        },
      ],
    });
    expect(made).toMatchObject({ exitCode: 0, errors: [] });
    const run = await workshop.start(['check', clip, '--target', target, '--report', 'checked']);
    expect(run.exitCode).toBe(1);
    const written = await readFile(join(workshop.folder, 'checked/batch.json'), 'utf8');
    const { totals } = batchSchema.parse(JSON.parse(written));
    const report = await openReport(browser, join(workshop.folder, 'checked/report.html'), {
      ...{ width: 1280, scheme: 'light' },
    });
    expect(await report.page.$eval('.headline', (line) => line.textContent)).toBe(
      `${totals?.fit} of ${totals?.results} fit to use; ${totals?.needYou} needs you.`,
    );
    expect(await report.page.$$('.rows tbody tr')).toHaveLength(totals?.results ?? -1);
    expect(await report.page.$$('.clips tbody tr')).toHaveLength(totals?.clips ?? -1);
    await report.page.close();
    const file = join(workshop.folder, 'checked/measurements/originals/too bright "1".mov.html');
    const { page, requests, complaints } = await openReport(browser, file, { width: 390, scheme: 'light' });
    expect([requests, complaints]).toEqual([[], []]);
    expect(await page.$eval('.headline', (line) => line.textContent)).toMatch(/^Not fit to use/);
    const text = await page.$eval('body', (body) => body.textContent);
    expect(text).toContain('10:00:00:05 to 10:00:00:10 (5 frames from frame 5)');
    const limits = await page.$$eval('.plot svg text', (texts) => texts.map((one) => one.textContent));
    expect(limits).toContain('limit 1000\u00a0cd/m² (bright-limit)');
    await page.close();
  });
});
