import { createHash } from 'node:crypto';
import { mkdtemp, rm, writeFile } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { keepDocument } from '../../../../workers/batch/documents.js';
import { loadReportDocuments } from '../../../../workers/report/html/pages/load-documents.js';
import { renderReport } from '../../../../workers/report/html/pages/render-report.js';
import { PALETTES } from '../../../../workers/report/html/style.js';
import { typeset } from '../../../../workers/report/html/typeset.js';
import { batchOf, HOT, measuredOf, PASS, type Sample } from './html-batch.js';
import { sampleBatch } from './html-samples.js';
import { manyFailures } from './many-failures.js';

function pageOf(samples: readonly Sample[], part: Parameters<typeof batchOf>[1] = {}): string {
  const { batch, documents } = batchOf(samples, part);
  return renderReport(batch, documents);
}

/** The text a reader sees: tags away, entities back. */
function textOf(page: string): string {
  return page
    .replace(/<(style|script)>[\s\S]*?<\/\1>/g, '')
    .replace(/<[^>]*>/g, '')
    .replaceAll('&lt;', '<')
    .replaceAll('&gt;', '>')
    .replaceAll('&quot;', '"')
    .replaceAll('&#39;', "'")
    .replaceAll('&amp;', '&');
}

const fine: Sample = { clip: 'a.mov', path: 'proxy-h264/a.mp4', word: 'pass' };
const bad: Sample = { clip: 'b.mov', path: 'proxy-h264/b.mp4', word: 'fail', findings: [PASS, HOT] };
const warned: Sample = {
  clip: 'c.mov',
  path: 'proxy-h264/c.mp4',
  word: 'warn',
  findings: [{ ...HOT, outcome: 'warn' }],
};
const unmeasured: Sample = {
  clip: 'd.mov',
  path: 'proxy-h264/d.mp4',
  word: 'warn',
  findings: [PASS, { ...PASS, requirement: 'bit-depth', outcome: 'unmeasured' }],
};
const lost: Sample = { clip: 'e.mov', path: 'proxy-h264/e.mp4', word: 'pass', findings: null };

describe('the headline', () => {
  it.each([
    { why: 'all is well', samples: [fine], says: '1 of 1 fit to use.' },
    { why: 'one failed', samples: [fine, bad], says: '1 of 2 fit to use; 1 needs you.' },
    { why: 'warnings do not stop a file', samples: [fine, warned], says: '2 of 2 fit to use.' },
    {
      why: 'unmeasured never counts as fit',
      samples: [fine, unmeasured],
      says: '1 of 2 fit to use; 1 needs you.',
    },
    {
      why: 'a word whose verdict is lost is not believed',
      samples: [fine, lost],
      says: '1 of 2 fit to use; 1 needs you.',
    },
    { why: 'there is nothing to judge', samples: [], says: 'No file could be judged.' },
  ])('says "$says" when $why', ({ samples, says }) => {
    expect(textOf(pageOf(samples).match(/<p class="headline">.*?<\/p>/)?.[0] ?? '')).toBe(says);
  });

  it('counts clips that gave no file, unreadable ones and refusals among what needs a person', () => {
    const { batch, documents } = batchOf([fine], {
      refused: [{ clip: 'x.mov', target: null, reason: 'no picture in it', next: 'leave it out' }],
      unreadable: [{ file: 'y.mov', reason: 'empty' }],
    });
    const error = { code: 'ffmpeg-failed', what: 'ffmpeg crashed', next: 'run it again' };
    const clips = [
      ...batch.clips,
      {
        name: 'z.mov',
        job: 'j',
        state: 'failed' as const,
        error,
        original: null,
        items: [],
        seconds: null,
        run: null,
        wasThere: false,
        bytesAsBefore: null,
        slate: null,
      },
    ];
    const text = textOf(renderReport({ ...batch, clips }, documents));
    expect(text).toContain('1 of 4 fit to use; 3 need you.');
    for (const said of ['No picture in it', 'Leave it out', 'empty', 'ffmpeg crashed', 'Run it again']) {
      expect(text).toContain(said);
    }
  });

  it('says that a batch was stopped, and how far it came', () => {
    const { batch, documents } = batchOf([fine], { state: 'interrupted', finishedAt: null });
    const waiting = {
      name: 'w.mov',
      job: 'j',
      state: 'waiting' as const,
      error: null,
      original: null,
      items: [],
      seconds: null,
      run: null,
      wasThere: false,
      bytesAsBefore: null,
      slate: null,
    };
    const text = textOf(renderReport({ ...batch, clips: [...batch.clips, waiting] }, documents));
    expect(text).toContain('Stopped before the end: 1 of 2 clips done. So far 1 of 2 fit to use.');
    const late = textOf(renderReport({ ...batch, manifests: ['/shoot/m.yaml'] }, documents));
    expect(late).toContain('Stopped while stills and reports were written: all clips are done.');
    expect(late).toContain('run the same command as before, of /shoot/m.yaml');
  });
});

describe('the order and the matter', () => {
  it('puts problems first', () => {
    const page = pageOf([fine, warned, unmeasured, bad]);
    const at = [
      'proxy-h264/<wbr>b.mp4',
      'proxy-h264/<wbr>d.mp4',
      'proxy-h264/<wbr>c.mp4',
      'proxy-h264/<wbr>a.mp4',
    ].map((path) => page.indexOf(path));
    expect(at.every((index) => index > 0)).toBe(true);
    expect([...at].sort((a, b) => a - b)).toEqual(at);
  });

  it('gives for each finding what was expected, measured, where, why, what to do and by which document', () => {
    const text = textOf(pageOf([bad]));
    for (const said of [typeset(HOT.expected), typeset(HOT.measured), HOT.why, HOT.advice, HOT.source ?? ''])
      expect(text).toContain(said);
    // Half-open [0, 12): the second label is the first frame after. [17, 18): one frame.
    expect(text).toContain('10:00:00:00 to 10:00:00:12 (12 frames from frame 0)');
    expect(text).toContain('10:00:00:17 (frame 17)');
  });

  it('names every loss, and the command that measures a file again', () => {
    const sample = {
      ...bad,
      path: "proxy-h264/it's.mp4",
      target: 'proxy-h264',
      losses: [{ what: 'depth', why: 'From 10 bits to 8.' }],
    };
    const text = textOf(pageOf([sample]));
    expect(text).toContain('From 10 bits to 8.');
    expect(text).toContain(`goodgate check 'proxy-h264/it'\\''s.mp4' --target proxy-h264`);
    // A target that is not built in is named by its file, a copy with its original.
    const { batch, documents } = batchOf([bad]);
    const sources = {
      ...documents.sources,
      targetFiles: new Map([['harbour-wall-sdr', '/show/targets/wall sdr.yaml']]),
      clips: new Map([['b.mov', '/cards/b.mov']]),
    };
    expect(textOf(renderReport(batch, { ...documents, sources }))).toContain(
      "goodgate check proxy-h264/b.mp4 --target '/show/targets/wall sdr.yaml' --original /cards/b.mov",
    );
  });

  it('says of a file whose documents are gone that nothing proves it', () => {
    expect(textOf(pageOf([{ ...lost, measurement: null }]))).toContain(
      'The verdict and the measurement of this file cannot be read any more',
    );
  });

  it('names versions and editions, and each caution only where it applies', () => {
    const quiet = textOf(pageOf([fine]));
    expect(quiet).toContain('EBU R 103 v3.0');
    expect(quiet).toContain('Loudness follows ITU-R BS.1770-5');
    expect(quiet).not.toContain('photosensitivity');
    const flash = measuredOf('f', {
      events: [
        { kind: 'red-flash', from: 1, to: 9, fromTimecode: null, toTimecode: null, detail: '4 in a second' },
      ],
    });
    expect(textOf(pageOf([{ ...fine, measurement: flash }]))).toContain(
      'not a certified photosensitivity test',
    );
  });
});

describe('the charts', () => {
  it('draw only what the measurement holds', () => {
    const charts = (page: string) => page.match(/<figure class="chart">/g)?.length ?? 0;
    expect(charts(pageOf([unmeasured]))).toBe(2);
    const bare = measuredOf('m', { levels: null, audio: [] });
    expect(charts(pageOf([{ ...unmeasured, measurement: bare }]))).toBe(0);
    expect(charts(pageOf([bad]))).toBe(3);
  });

  it('colour the figure a target found wrong, and no other', () => {
    const loud = { ...HOT, requirement: 'loudness', at: [] };
    const page = pageOf([{ ...bad, findings: [PASS, loud] }]);
    const chart = page.slice(page.indexOf('aria-label="Sound'));
    const fills = [
      ...chart.slice(0, chart.indexOf('</figure>')).matchAll(/<path [^>]*fill="(var\(--(?:bar|fail)\))"/g),
    ];
    // Programme, momentary and true peak have figures; the clip is too short for a short-term one.
    expect(fills.map((match) => match[1])).toEqual(['var(--fail)', 'var(--bar)', 'var(--bar)']);
  });

  it('say their figures in words too, and stand where the figures put them', () => {
    const page = pageOf([bad]);
    expect(page).toContain('Levels: Luma −0.5 to 100.0 percent; R&#39;G&#39;B&#39; −2.6 to 103.8 percent');
    // Frames [0, 12) and [17, 18) of 40 on one axis: their starts are 17/40 of its width apart, the first is
    // 12/40 wide.
    const chart = page.slice(page.indexOf('aria-label="Where it happens'));
    const bars = [
      ...chart.matchAll(/<path d="M([\d.]+) [\d.]+l([\d.]+) 0l0 12l[^"]*" fill="var\(--fail\)"/g),
    ];
    const [first, second] = bars.map((match) => ({ x: Number(match[1]), width: Number(match[2]) }));
    expect(bars).toHaveLength(2);
    const axis = (first?.width ?? 0) / (12 / 40);
    expect((second?.x ?? 0) - (first?.x ?? 0)).toBeCloseTo((axis * 17) / 40, 0);
  });
});

describe('the page', () => {
  it('asks nothing of anybody: no script but its own, no address, no font, no frame', () => {
    const { batch, documents } = sampleBatch();
    const whole = renderReport(batch, documents);
    expect(whole).toContain(`content="default-src 'none';`);
    // The policy names the digest of the one script there is (Content Security Policy Level 3, 2.3.1).
    const [script = ''] = [...whole.matchAll(/<script>([\s\S]*?)<\/script>/g)].map(([, text]) => text);
    const digest = createHash('sha256').update(script).digest('base64');
    expect(whole).toContain(` script-src 'sha256-${digest}';`);
    const page = whole.replace(`<script>${script}</script>`, '');
    expect(page).not.toMatch(
      /<script|<iframe|<object|<embed|<link|<base|@import|@font-face|url\(|https?:|\son\w+=/i,
    );
    // Its own places, and the pages beside the measurements: nothing with a scheme or a host.
    for (const [, href] of page.matchAll(/(?:href|src)="([^"]*)"/g))
      expect(href).toMatch(/^(#|findings\.csv$|measurements\/[\w./%-]+\.html$|[\w./%-]+\.(mp4|mov)$)/);
    const ids = new Set([...page.matchAll(/\sid="([^"]*)"/g)].map((match) => match[1]));
    for (const [, target] of page.matchAll(/href="#([^"]*)"/g)) expect(ids).toContain(target);
    expect(ids.size).toBe([...page.matchAll(/\sid="/g)].length);
  });

  it('has landmarks, one h1, headings that skip no level, and a scope on every table heading', () => {
    const { batch, documents } = sampleBatch();
    const page = renderReport(batch, documents);
    expect(page).toContain('<html lang="en">');
    for (const landmark of ['<header', '<nav aria-label', '<main id="main"', '<footer'])
      expect(page).toContain(landmark);
    const levels = [...page.matchAll(/<h([1-6])/g)].map((match) => Number(match[1]));
    expect(levels.filter((level) => level === 1)).toHaveLength(1);
    levels.forEach((level, index) => {
      expect(level - (levels[index - 1] ?? 0)).toBeLessThanOrEqual(1);
    });
    for (const [heading] of page.matchAll(/<th\b[^>]*>/g))
      expect(heading).toMatch(/scope="(row|col|rowgroup)"/);
  });

  it('is the same text for the same batch', () => {
    const { batch, documents } = sampleBatch();
    expect(renderReport(batch, documents)).toBe(renderReport(batch, documents));
  });

  it.each(['finished', 'interrupted'] as const)(
    'stays under 3 MB for 600 files, each with ten failures of many places, and leaves none out: %s',
    (state) => {
      const page = pageOf(manyFailures(600), { state });
      expect(Buffer.byteLength(page)).toBeLessThan(3_000_000);
      expect(page.match(/<tr id="row-file-\d+" class="v-fail/g)).toHaveLength(600);
      expect(page.match(/<article class="file fail"/g)).toHaveLength(40);
      expect(textOf(page)).toContain('560 more files that need you stand in the table above');
      // One cause, with the figures of the first and all files.
      const list = page.slice(page.indexOf('id="needs"'), page.indexOf('id="results"'));
      expect(list.match(/<ul class="problems"><li>/g)).toHaveLength(1);
      expect(textOf(list)).toContain('600 results, each with figures of its own');
      expect(textOf(list)).toContain('and 594 more');
    },
  );
});

// WCAG 2.2, success criterion 1.4.3 (4.5:1 for text) and the definition of relative luminance.
describe.each(Object.entries(PALETTES))('contrast, %s', (_scheme, palette) => {
  const luminance = (hex: string) => {
    const [r = 0, g = 0, b = 0] = [1, 3, 5].map((at) => {
      const c = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
      return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const grounds = ['paper', 'card'] as const;
  const tones = ['fail', 'warn', 'unmeasured', 'pass', 'plain'] as const;
  const pairs: [keyof typeof palette, keyof typeof palette][] = [
    ...(['ink', 'soft', 'link', 'fail', 'warn'] as const).flatMap((text) =>
      grounds.map((ground): [keyof typeof palette, keyof typeof palette] => [text, ground]),
    ),
    ...tones.map((tone): [keyof typeof palette, keyof typeof palette] => [tone, `${tone}-wash`]),
    ['ink', 'plain-wash'],
  ];
  it.each(pairs)('%s on %s is at least 4.5:1', (text, ground) => {
    const [light = 0, dark = 0] = [luminance(palette[text]), luminance(palette[ground])].sort(
      (a, b) => b - a,
    );
    expect((light + 0.05) / (dark + 0.05)).toBeGreaterThanOrEqual(4.5);
  });
});

describe('loadReportDocuments', () => {
  it('reads the very documents of the batch, and leaves out what is missing, damaged, of another schema or another by now', async () => {
    const out = await mkdtemp(join(tmpdir(), 'goodgate-report-'));
    try {
      const { batch, documents } = batchOf([fine, bad, warned, fine]);
      const put = async (file: string, document: object | undefined) =>
        (await keepDocument(out, file, document)).ref;
      const verdictOf = (n: number) => documents.verdicts.get(`verdicts/${n}.json`);
      const measurements: string[] = [];
      for (const [file, measured] of documents.measurements)
        measurements.push((await put(file, measured)).sha256);
      const verdicts = [
        (await put('verdicts/0.json', verdictOf(0))).sha256,
        (await put('verdicts/1.json', verdictOf(1))).sha256,
        (await put('verdicts/2.json', { ...verdictOf(2), schema: 'other' })).sha256,
        (await put('verdicts/3.json', verdictOf(3))).sha256,
      ];
      await writeFile(join(out, 'verdicts/1.json'), '{"schema":"goodgate/verdict@1"');
      // Whole and right, and of another run.
      await put('verdicts/3.json', { ...verdictOf(3), verdict: 'pass', findings: [] });
      const original = await put('measurements/originals/a.mov.json', measuredOf('a.mov'));
      const clips = batch.clips.map((clip) => ({
        ...clip,
        original: clip.name === 'a.mov' ? original : { ...original, sha256: '0'.repeat(64) },
        items: clip.items.map((item) => {
          const at = Number(/\d+/.exec(item.measurement ?? '')?.[0]);
          return {
            ...item,
            sha256: { measurement: measurements[at] ?? null, verdict: verdicts[at] ?? null },
          };
        }),
      }));
      const read = await loadReportDocuments({ ...batch, clips }, out);
      expect([...read.measurements.keys()].sort()).toEqual([...documents.measurements.keys()].sort());
      expect([...read.verdicts.keys()]).toEqual(['verdicts/0.json']);
      expect([...read.originals.keys()]).toEqual(['a.mov']);
    } finally {
      await rm(out, { recursive: true, force: true });
    }
  });
});
