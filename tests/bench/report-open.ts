import { mkdtemp, rm, stat, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import type { Browser } from 'puppeteer-core';
import { renderReport } from '../../workers/report/html/pages/render-report.js';
import { findChromium, openChromium } from '../system/report-page.js';
import { batchOf } from '../workers/report/html/html-batch.js';
import { manyFailures } from '../workers/report/html/many-failures.js';

/** Milliseconds from the start of the navigation; of the page's own thread, how long it was at work. */
interface Opened {
  readonly firstPaint: number;
  readonly interactive: number;
  readonly loaded: number;
  readonly processor: number;
}

/**
 * Opens the report of a batch of so many files, all failed, from the disk in headless Chromium: the best of
 * three. Wall times say little on a machine that does other work; processor time does not depend on it.
 */
export async function* reportOpenLines(files: number): AsyncGenerator<string> {
  const chromium = findChromium();
  if (chromium === null) {
    yield 'no chromium here: node cli/setup.mjs --for-tests installs it';
    return;
  }
  const folder = await mkdtemp(join(tmpdir(), 'goodgate-bench-report-'));
  const browser = await openChromium(chromium);
  try {
    const { batch, documents } = batchOf(manyFailures(files));
    const file = join(folder, 'report.html');
    await writeFile(file, renderReport(batch, documents));
    const all: Opened[] = [];
    for (let go = 0; go < 3; go++) all.push(await openOnce(browser, file));
    const best = (key: keyof Opened): string => `${Math.round(Math.min(...all.map((one) => one[key])))} ms`;
    yield `a report of ${files} files, ${((await stat(file)).size / 1e6).toFixed(2)} MB, opened at 1280 x 900, best of three`;
    yield `  first paint ${best('firstPaint')}   interactive ${best('interactive')}   loaded ${best('loaded')}   page's thread at work ${best('processor')}`;
  } finally {
    await browser.close();
    await rm(folder, { recursive: true, force: true });
  }
}

async function openOnce(browser: Browser, file: string): Promise<Opened> {
  const page = await browser.newPage();
  await page.setViewport({ width: 1280, height: 900 });
  const client = await page.createCDPSession();
  await client.send('Performance.enable', { timeDomain: 'threadTicks' });
  await page.goto(pathToFileURL(file).href, { waitUntil: 'load' });
  const times = await page.evaluate(async () => {
    // Painting comes after loading where the page is quick.
    await new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
    const [navigation] = performance.getEntriesByType('navigation') as PerformanceNavigationTiming[];
    const paint = performance.getEntriesByName('first-contentful-paint')[0];
    return {
      firstPaint: paint?.startTime ?? Number.NaN,
      interactive: navigation?.domInteractive ?? Number.NaN,
      loaded: navigation?.loadEventEnd ?? Number.NaN,
    };
  });
  const { metrics } = await client.send('Performance.getMetrics');
  const of = (wanted: string): number => metrics.find(({ name }) => name === wanted)?.value ?? Number.NaN;
  await page.close();
  return { ...times, processor: of('TaskDuration') * 1000 };
}
