import type { Batch, BatchTotals } from '../../../../jobs/plan/batch.js';
import { count } from '../../../../jobs/words/numbers.js';
import { moment } from '../../../../jobs/words/times.js';
import { causesOf } from '../../summary/causes.js';
import { countBatch } from '../../summary/count-batch.js';
import { countsByKind } from '../../summary/counts-in-words.js';
import { headline, resultsText } from '../../summary/headline.js';
import { type ReportFile, reportFiles, type Standing } from '../../summary/standing.js';
import { undoneOf } from '../../summary/undone.js';
import { badge } from '../badge.js';
import { type Html, type HtmlPart, html, name, visibleText } from '../markup.js';
import { askedBy } from '../plots/plot-limits.js';
import { SizeBudget } from '../size-budget.js';
import { clipsTable } from './clips-table.js';
import type { ReportDocuments } from './load-documents.js';
import { hasPages, linkTo, pageOfMeasurement } from './media-pages.js';
import { renderPage } from './page.js';
import { renderCauses } from './render-causes.js';
import { renderFile } from './render-file.js';
import { renderMethod } from './render-method.js';
import { resultsTable } from './results-table.js';

/**
 * Files told in full in the report itself, worst first: the page must open at once, whatever the batch. Each
 * file has a page of its own besides.
 */
const FILES_IN_FULL = 40;
const FILES_WITH_PRINTED_CHARTS = 10;

/**
 * The report of a batch as one HTML document: no request to anywhere, everything from outside escaped, whole
 * and readable without script. Problems come first. Deterministic: the same batch and documents give the same
 * text.
 */
export function renderReport(batch: Batch, documents: ReportDocuments): string {
  const files = reportFiles(batch, documents);
  const totals = countBatch(batch, files);
  const causes = causesOf(batch, files, documents.originals);
  const [warnings, needs] = [
    causes.filter(({ kind }) => kind === 'warn'),
    causes.filter(({ kind }) => kind !== 'warn'),
  ];
  const needing = withStandings(files, ['fail', 'unmeasured']);
  const inFull = needing.slice(0, FILES_IN_FULL);
  const places = new Places(batch, files, inFull);
  const results = resultsTable(files, undoneOf(batch), totals, (file) => places.ofRow(file));
  return renderPage({
    title: `${headline(batch, totals)} ${batch.title}`,
    skipTo: 'Skip to the results',
    style: results.style,
    withScript: true,
    body: html`${top(batch, totals)}
<main id="main">
${section(
  'needs',
  'Needs you',
  renderCauses(needs, ({ id }) => places.ofCause(id)),
)}
${section(
  'warnings',
  'Fit, with warnings',
  renderCauses(warnings, ({ id }) => places.ofCause(id)),
)}
${totals.results > 0 && section('results', 'All results', results.table)}
${inFull.length > 0 && section('details', 'What needs you, in full', details(inFull, needing.length, documents, batch))}
${clipsTable(batch, files, documents)}
${renderMethod(batch, documents)}
</main>
<footer><p>goodgate ${visibleText(batch.method.goodgate)}, batch ${name(batch.id)}</p></footer>`,
  });
}

/** Where a link of the report leads: into the page where a file is told in full, else to its own page. */
class Places {
  readonly #files: ReadonlyMap<string, ReportFile>;
  readonly #inFull: ReadonlySet<string>;
  readonly #withPages: boolean;

  constructor(batch: Batch, files: readonly ReportFile[], inFull: readonly ReportFile[]) {
    this.#files = new Map(files.map((file) => [file.id, file]));
    this.#inFull = new Set(inFull.map(({ id }) => id));
    this.#withPages = hasPages(batch);
  }

  ofCause(id: string): string {
    const file = this.#files.get(id);
    if (file === undefined) return `#row-${id}`;
    return this.#inFull.has(id) ? `#${id}` : (this.#pageOf(file) ?? `#row-${id}`);
  }

  ofRow(file: ReportFile): string | null {
    return this.#pageOf(file) ?? (this.#inFull.has(file.id) ? `#${file.id}` : null);
  }

  #pageOf({ item, measurement }: ReportFile): string | null {
    if (!this.#withPages || item.measurement === null || measurement === null) return null;
    return linkTo(pageOfMeasurement(item.measurement));
  }
}

function withStandings(files: readonly ReportFile[], standings: readonly Standing[]): ReportFile[] {
  return standings.flatMap((standing) => files.filter((file) => file.standing === standing));
}

function section(id: string, title: string, body: HtmlPart): HtmlPart {
  if (body === null) return null;
  return html`<section id="${id}" aria-labelledby="${id}-h"><h2 id="${id}-h">${title}</h2>
${body}</section>`;
}

/** The dates are those of the last run: what was done on another evening is said. */
function earlierRuns({ clips }: Batch): HtmlPart {
  const there = clips.filter(({ wasThere }) => wasThere).length;
  // A run that did nothing leaves the dates of the one that did.
  if (there === 0 || there === clips.length) return null;
  return html`; ${there} of ${count(clips.length, 'clip')} by earlier runs`;
}

function top(batch: Batch, totals: BatchTotals): Html {
  return html`<header class="top">
<p class="kicker">Batch report</p>
<h1>${name(batch.title)}</h1>
<p class="headline">${headline(batch, totals)}</p>
<p class="when">${moment(batch.startedAt)}${batch.finishedAt !== null && html` to ${moment(batch.finishedAt)}`}${earlierRuns(batch)}</p>
${countsBar(totals)}
</header>
${contents(totals)}`;
}

/** All results by kind: the bar is as long as they are many, and the list beside it adds up to the same. */
function countsBar(totals: BatchTotals): HtmlPart {
  const present = countsByKind(totals);
  if (present.length === 0) return null;
  return html`<div class="tally" aria-hidden="true">${present.map(
    ({ kind, count }) => html`<span class="${kind}" style="flex-grow:${count}"></span>`,
  )}</div>
<ul class="counts">${present.map(({ kind, count }) => html`<li>${badge(kind)} ${count}</li>`)}<li class="hint">${resultsText(totals)}</li></ul>`;
}

function contents(totals: BatchTotals): Html {
  const links: [string, string, number][] = [
    ['#needs', 'Needs you', totals.needYou],
    ['#warnings', 'Fit, with warnings', totals.warn],
    ['#results', 'All results', totals.results],
    ['#clips', 'Clips that came in', totals.clips],
  ];
  return html`<nav aria-label="Contents"><ul>${links
    .filter(([, , count]) => count > 0)
    .map(
      ([href, text, count]) => html`<li><a href="${href}">${text} <span class="n">${count}</span></a></li>`,
    )}
<li><a href="#method">How it was measured</a></li></ul></nav>`;
}

function details(
  files: readonly ReportFile[],
  needing: number,
  documents: ReportDocuments,
  batch: Batch,
): Html {
  const budget = new SizeBudget(documents);
  const rest = needing - files.length;
  // On paper the charts of many files would be a book; each file's own page prints its own.
  const isMany = files.length > FILES_WITH_PRINTED_CHARTS;
  return html`<div class="${isMany ? 'many' : 'few'}">${files.map((file) =>
    renderFile(file, {
      withPage: hasPages(batch),
      // The table of findings has them all.
      allPlaces: !hasPages(batch) && !isMany,
      documents,
      overTime: budget.overTime(file),
      asked: askedBy([file]),
      stillsOf: (finding) => budget.stills(file, finding),
    }),
  )}${rest > 0 && html`<p class="hint">${count(rest, 'more file')} that ${rest === 1 ? 'needs' : 'need'} you stand in the table above, each with a page of its own.</p>`}</div>`;
}
