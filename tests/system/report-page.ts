import { existsSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { type Browser, launch, type Page } from 'puppeteer-core';

const PLACES = ['/usr/bin/chromium', '/usr/bin/chromium-browser'];

/** Debian's Chromium, which the tests' set-up installs where it may; null where there is none. */
export function findChromium(): string | null {
  return PLACES.find((path) => existsSync(path)) ?? null;
}

export async function openChromium(path: string): Promise<Browser> {
  return launch({
    executablePath: path,
    headless: true,
    // As root, in containers: no sandbox and no shared memory to speak of. Only pages of our own making are
    // opened.
    args: ['--no-sandbox', '--disable-gpu', '--disable-dev-shm-usage', '--no-first-run'],
  });
}

export interface Look {
  readonly width: number;
  readonly scheme: 'light' | 'dark';
}

/** A report as a reader opens it: by its file. */
export interface OpenedReport {
  readonly page: Page;
  /** Every address asked for beside the file itself. */
  readonly requests: readonly string[];
  /** What the browser complained of, the page's policy included. */
  readonly complaints: readonly string[];
}

export async function openReport(
  browser: Browser,
  file: string,
  look: Look,
  { withScript = true }: { readonly withScript?: boolean } = {},
): Promise<OpenedReport> {
  const page = await browser.newPage();
  await page.setJavaScriptEnabled(withScript);
  const requests: string[] = [];
  const complaints: string[] = [];
  const address = pathToFileURL(file).href;
  page.on('request', (request) => {
    // A picture that is in the page itself is told as a request too.
    if (request.url() !== address && !request.url().startsWith('data:image/')) requests.push(request.url());
  });
  page.on('console', (message) => complaints.push(message.text()));
  page.on('pageerror', (error) => complaints.push(String(error)));
  page.on('requestfailed', (request) => complaints.push(`failed: ${request.url()}`));
  await page.setViewport({ width: look.width, height: 900 });
  await page.emulateMediaFeatures([{ name: 'prefers-color-scheme', value: look.scheme }]);
  await page.goto(address, { waitUntil: 'load' });
  return { page, requests, complaints };
}

/**
 * Text whose contrast with the ground it stands on is under 4.5:1 (WCAG 2.2, success criterion 1.4.3), as the
 * browser has laid it out. In drawings the ground is the paper of the drawing.
 */
export async function paleTexts(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const parse = (colour: string): number[] => (colour.match(/[\d.]+/g) ?? []).map(Number);
    const luminance = ([r = 0, g = 0, b = 0]: number[]): number => {
      const [lr = 0, lg = 0, lb = 0] = [r, g, b].map((value) => {
        const c = value / 255;
        return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
      });
      return 0.2126 * lr + 0.7152 * lg + 0.0722 * lb;
    };
    const groundOf = (element: Element): string => {
      for (let at: Element | null = element; at !== null; at = at.parentElement) {
        const colour = getComputedStyle(at).backgroundColor;
        if (parse(colour)[3] !== 0) return colour;
      }
      return 'rgb(255, 255, 255)';
    };
    const pale: string[] = [];
    let seen = 0;
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node !== null; node = walker.nextNode()) {
      const element = node.parentElement;
      const text = node.textContent?.trim() ?? '';
      if (element === null || text === '' || element.getClientRects().length === 0) continue;
      const style = getComputedStyle(element);
      const ink = element.namespaceURI?.endsWith('svg') ? style.fill : style.color;
      const [light = 0, dark = 0] = [luminance(parse(ink)), luminance(parse(groundOf(element)))].sort(
        (a, b) => b - a,
      );
      seen += 1;
      const ratio = (light + 0.05) / (dark + 0.05);
      if (ratio < 4.5) pale.push(`${ratio.toFixed(2)} ${text.slice(0, 60)}`);
    }
    if (seen < 20) pale.push(`only ${seen} texts were seen`);
    return pale;
  });
}

/** How far the page is wider than the window, CSS pixels, and what sticks out furthest. */
export async function overflow(page: Page): Promise<{ pixels: number; by: string }> {
  return page.evaluate(() => {
    const wide = document.documentElement.clientWidth;
    let by = '';
    let most = 0;
    for (const element of document.querySelectorAll('body *')) {
      const { right } = element.getBoundingClientRect();
      const scrolls = element.closest('.scroll') !== null || element.closest('.skip') !== null;
      if (!scrolls && right > wide + 1 && right > most) {
        most = right;
        by = element.outerHTML.slice(0, 120);
      }
    }
    return { pixels: document.documentElement.scrollWidth - wide, by };
  });
}

/**
 * What is wrong with the words in drawings as the browser has laid them out: words that stick out of their
 * drawing, and words that run into one another.
 */
export async function crowdedWords(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const wrong: string[] = [];
    let seen = 0;
    for (const drawing of document.querySelectorAll('svg')) {
      const paper = drawing.getBoundingClientRect();
      if (paper.width === 0) continue;
      const words = [...drawing.querySelectorAll('text')]
        .filter((text) => text.textContent?.trim() !== '')
        .map((text) => ({ text: text.textContent ?? '', box: text.getBoundingClientRect() }));
      seen += words.length;
      words.forEach(({ text, box }, index) => {
        if (box.left < paper.left - 1 || box.right > paper.right + 1) wrong.push(`cut off: ${text}`);
        if (text.includes('…') || text.includes('...')) wrong.push(`shortened: ${text}`);
        for (const other of words.slice(index + 1)) {
          const across = Math.min(box.right, other.box.right) - Math.max(box.left, other.box.left);
          const down = Math.min(box.bottom, other.box.bottom) - Math.max(box.top, other.box.top);
          // A line's box is higher than its letters: two pixels of it may lie in the next one's.
          if (across > 1 && down > 2) wrong.push(`run together: ${text} | ${other.text}`);
        }
      });
    }
    if (seen < 10) wrong.push(`only ${seen} words were seen`);
    return wrong;
  });
}

/**
 * Words in drawings that lie over a curve or a bar: over its line, as the browser has drawn it. Lines of the
 * grid, which lie behind everything, do not count.
 */
export async function wordsOverCurves(page: Page): Promise<string[]> {
  return page.evaluate(() => {
    const over: string[] = [];
    let curves = 0;
    const grid = getComputedStyle(document.documentElement).getPropertyValue('--rule').trim();
    for (const drawing of document.querySelectorAll('svg')) {
      if (drawing.getBoundingClientRect().width === 0) continue;
      const words = [...drawing.querySelectorAll('text')]
        .filter((text) => text.textContent?.trim() !== '')
        .map((text) => ({ text: text.textContent ?? '', box: text.getBoundingClientRect() }));
      for (const path of drawing.querySelectorAll('path')) {
        const length = path.getTotalLength();
        const place = path.getScreenCTM();
        const isGrid = path.getAttribute('stroke') === 'var(--rule)' || path.getAttribute('stroke') === grid;
        if (isGrid || length === 0 || place === null) continue;
        curves += 1;
        const steps = Math.min(2_000, Math.ceil(length));
        const pixels = words.map(() => 0);
        for (let step = 0; step <= steps; step++) {
          const { x, y } = path.getPointAtLength((length * step) / steps).matrixTransform(place);
          words.forEach(({ box }, index) => {
            // The box of a line is higher than its letters.
            const isIn = x > box.left + 1 && x < box.right - 1 && y > box.top + 2 && y < box.bottom - 2;
            if (isIn) pixels[index] = (pixels[index] ?? 0) + length / steps;
          });
        }
        words.forEach(({ text }, index) => {
          if ((pixels[index] ?? 0) > 3) over.push(`${text}: ${Math.round(pixels[index] ?? 0)} pixels`);
        });
      }
    }
    if (curves < 10) over.push(`only ${curves} curves were seen`);
    return over;
  });
}

/** Tables a reader has to push sideways, by their first words. */
export async function tablesToPush(page: Page): Promise<string[]> {
  return page.$$eval('.scroll', (boxes) =>
    boxes
      .filter((box) => box.scrollWidth > box.clientWidth + 1)
      .map((box) => box.textContent?.trim().slice(0, 60) ?? ''),
  );
}
