import { describe, expect, it } from 'vitest';
import { escapeText, html, name, visibleText } from '../../../../workers/report/html/markup.js';
import { mediaPages } from '../../../../workers/report/html/pages/media-pages.js';
import { renderMaster } from '../../../../workers/report/html/pages/render-master.js';
import { renderReport } from '../../../../workers/report/html/pages/render-report.js';
import { shellWord } from '../../../../workers/report/html/shell-word.js';
import { reportFiles } from '../../../../workers/report/summary/standing.js';
import { ATTACKS, hostileBatch, PIXEL } from '../hostile-batch.js';

describe('hostile input', () => {
  /** The report of a batch and the pages of its files, one text wherever a text can come from outside. */
  function hostilePage(text: string): string {
    const { batch, documents: all } = hostileBatch(text);
    const pages = mediaPages(batch, reportFiles(batch, all), all).map((page) =>
      renderMaster(page, batch, all),
    );
    return [renderReport(batch, all), ...pages].join('\n');
  }

  let drawnPlain: string | null = null;
  const plain = (): string => {
    drawnPlain ??= hostilePage('plain');
    return drawnPlain;
  };

  it.each(ATTACKS)('cannot put markup into the report or the page of a file: %j', (text) => {
    const page = hostilePage(text);
    const known = new Set(plain().match(/<[a-z][^\s>/]*/gi));
    expect(new Set(page.match(/<[a-z][^\s>/]*/gi))).toEqual(known);
    const attributes = (of: string) =>
      new Set(
        [...of.matchAll(/<[a-z][^>]*>/gi)].flatMap(([tag]) =>
          [...tag.replace(/"[^"]*"/g, '""').matchAll(/\s([\w:-]+)=/g)].map((match) => match[1]),
        ),
      );
    expect(attributes(page)).toEqual(attributes(plain()));
    // biome-ignore lint/suspicious/noControlCharactersInRegex: control characters are what this is about
    expect(page).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u202a-\u202e\u200b\ufeff]|\p{Surrogate}/u);
  });

  it('shows pictures that are in the page, and nothing else as a picture', () => {
    const page = hostilePage('"><img src=x onerror=alert(1)>.mov');
    const sources = [...page.matchAll(/<img src="([^"]*)"/g)].map((match) => match[1]);
    // Once in the batch's report, once on the file's own page; the one whose address is no picture is left
    // out.
    expect(sources).toEqual([PIXEL, PIXEL]);
  });

  it('shows what cannot be seen', () => {
    expect(visibleText('a\u202Eb')).toBe('a[U+202E]b');
    expect(name('a\u202Eb').markup).toContain('<span class="unseen">U+202E</span>');
    expect(visibleText('fine \u200d 夜景 маяк é')).toBe('fine \u200d 夜景 маяк é');
  });

  it('escapes by default, and never twice', () => {
    expect(html`<p>${'<b>'}${html`<i>${'&'}</i>`}${['"', null, false, 3]}</p>`.markup).toBe(
      '<p>&lt;b&gt;<i>&amp;</i>&quot;3</p>',
    );
    expect(escapeText(`'"<>&\``)).toBe('&#39;&quot;&lt;&gt;&amp;&#96;');
  });

  it.each([
    ['plain.mov', 'plain.mov'],
    ['two words', `'two words'`],
    [`it's`, `'it'\\''s'`],
    ['$(rm -rf)', `'$(rm -rf)'`],
    ['esc\u001b', `$'esc\\x1b'`],
    ['夜\u202e', `$'夜\\xe2\\x80\\xae'`],
  ])('writes %j for a shell as %s', (word, quoted) => {
    expect(shellWord(word)).toBe(quoted);
  });
});
