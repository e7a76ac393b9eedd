import type { Batch } from '../../../../jobs/plan/batch.js';
import { count } from '../../../../jobs/words/numbers.js';
import { duration, moment } from '../../../../jobs/words/times.js';
import { originalMeasurementFile } from '../../../batch/folder.js';
import { requirementTitle } from '../../../judge/requirement-title.js';
import { type BadgeKind, badge } from '../badge.js';
import { type Html, type HtmlPart, html, name, visibleText } from '../markup.js';
import { askedBy } from '../plots/plot-limits.js';
import { SizeBudget } from '../size-budget.js';
import {
  headline,
  type ReportFile,
  reportFiles,
  type Standing,
  type Tally,
  tallyBatch,
} from '../standing.js';
import { typeset } from '../typeset.js';
import type { ReportDocuments } from './load-documents.js';
import { hasPages, linkTo, pageOfMeasurement } from './media-pages.js';
import { renderPage } from './page.js';
import { renderFile } from './render-file.js';
import { troubledFindings } from './render-findings.js';
import { renderMeasurement } from './render-measurement.js';
import { renderMethod } from './render-method.js';

/**
 * Charts are drawn, and what is met is listed, for this many files, problems first: the page must open at
 * once, whatever the batch.
 */
const FILES_WITH_CHARTS = 40;

/** Tables of all figures in the report itself; beyond these they are on the files' own pages only. */
const FILES_WITH_FIGURES = 60;

function hasFigures(files: number, withPage: boolean): boolean {
  return files <= FILES_WITH_FIGURES || !withPage;
}

/**
 * The report of a batch as one HTML document: no script, no request to anywhere, everything from outside
 * escaped. Problems come first. Deterministic: the same batch and documents give the same text.
 */
export function renderReport(batch: Batch, documents: ReportDocuments): string {
  const files = reportFiles(batch, documents);
  const tally = tallyBatch(batch, files);
  const sections = fileSections(files, documents, hasPages(batch));
  return renderPage(
    `${headline(batch, tally)} ${batch.title}`,
    'Skip to the findings',
    html`${top(batch, tally, files)}
${contents(batch, tally)}
<main id="main">
${troubles(batch)}
${sections}
${clipsTable(batch, files, documents)}
${renderMethod(batch, documents)}
</main>
<footer><p>goodgate ${visibleText(batch.method.goodgate)}, batch ${name(batch.id)}</p></footer>`,
  );
}

function top(batch: Batch, tally: Tally, files: readonly ReportFile[]): Html {
  return html`<header class="top">
<p class="kicker">Batch report</p>
<h1>${name(batch.title)}</h1>
<p class="headline">${headline(batch, tally)}</p>
<p class="when">${moment(batch.startedAt)}${batch.finishedAt !== null && html` to ${moment(batch.finishedAt)}`}</p>
${tallyBar(tally)}
${needed(batch, files)}
</header>`;
}

/** Lines of the list at the top; what is left is told by the numbers above it. */
const NEEDED = 12;

/**
 * Who needs a person and why, to be read where nothing else is: as many as the headline counts, worst first.
 */
function needed(batch: Batch, files: readonly ReportFile[]): HtmlPart {
  const lines = [
    ...undone(batch)
      .filter(({ kind }) => kind !== 'waiting')
      .map(({ kind, id, title, what }) => needs(kind, id, title, what)),
    ...(['fail', 'unmeasured'] as const).flatMap((standing) =>
      files.filter((file) => file.standing === standing).map(neededFile),
    ),
  ];
  if (lines.length === 0) return null;
  const rest = lines.length - NEEDED;
  return html`<ul class="problems">${lines.slice(0, NEEDED)}${rest > 0 && html`<li class="hint"><span></span><div>and ${count(rest, 'more')} below</div></li>`}</ul>`;
}

function neededFile({ id, item, clip, standing, verdict }: ReportFile): Html {
  const why = troubledFindings(verdict?.findings ?? [])
    .filter(({ outcome, waiver }) => outcome !== 'warn' && waiver === null)
    .map(({ requirement }) => requirementTitle(requirement));
  return needs(standing, id, name(item.kind === 'original' ? clip.name : item.path), why.join('; '));
}

function needs(kind: BadgeKind, id: string, title: Html, why: string): Html {
  return html`<li>${badge(kind)}<div><a href="#${id}">${title}</a>${why !== '' && html`: ${name(why)}`}</div></li>`;
}

const ORDER: readonly Standing[] = ['fail', 'unmeasured', 'warn', 'pass', 'unjudged'];

function tallyBar(tally: Tally): HtmlPart {
  const others: [number, Html][] = [
    [tally.failedClips, html`${badge('not-done')} ${count(tally.failedClips, 'clip')}`],
    [tally.unreadable, html`${badge('unreadable')} ${count(tally.unreadable, 'clip')}`],
    [tally.refused, html`${badge('refused')} ${count(tally.refused, 'job')}`],
    [tally.waitingClips, html`${badge('waiting')} ${count(tally.waitingClips, 'clip')}`],
  ];
  const present = ORDER.filter((standing) => tally.count[standing] > 0);
  return html`${
    tally.files > 0 &&
    html`<div class="tally" aria-hidden="true">${present.map(
      (standing) => html`<span class="${standing}" style="flex-grow:${tally.count[standing]}"></span>`,
    )}</div>`
  }
<ul class="counts">${present.map(
    (standing) => html`<li>${badge(standing)} ${count(tally.count[standing], 'file')}</li>`,
  )}${others.filter(([count]) => count > 0).map(([, text]) => html`<li>${text}</li>`)}</ul>`;
}

function contents(batch: Batch, tally: Tally): Html {
  const undone = tally.failedClips + tally.waitingClips + tally.unreadable + tally.refused;
  const links: [string, string, number][] = [
    ['#undone', 'Not done', undone],
    ['#needs', 'Needs you', tally.count.fail + tally.count.unmeasured],
    ['#warnings', 'Fit, with warnings', tally.count.warn],
    ['#fit', 'Fit', tally.count.pass],
    ['#unjudged', 'Not judged', tally.count.unjudged],
    ['#clips', 'Clips that came in', batch.clips.length],
  ];
  return html`<nav aria-label="Contents"><ul>${links
    .filter(([, , count]) => count > 0)
    .map(
      ([href, text, count]) => html`<li><a href="${href}">${text} <span class="n">${count}</span></a></li>`,
    )}
<li><a href="#method">How it was measured</a></li></ul></nav>`;
}

/** One that produced no file to judge. */
interface Undone {
  readonly id: string;
  readonly kind: BadgeKind;
  readonly title: Html;
  readonly what: string;
  readonly next: string;
}

function undone(batch: Batch): Undone[] {
  const all: Omit<Undone, 'id'>[] = [
    ...batch.clips
      .filter((clip) => clip.state !== 'done')
      .map((clip) => ({
        kind: clip.state === 'failed' ? ('not-done' as const) : ('waiting' as const),
        title: name(clip.name),
        what: clip.error?.what ?? 'Its turn did not come before the batch ended.',
        next: clip.error?.next ?? 'Run the same command again: it goes on with what is missing.',
      })),
    ...batch.unreadable.map(({ file, reason }) => ({
      kind: 'unreadable' as const,
      title: name(file),
      what: reason,
      next: 'Copy it from its card again, or take it out of the manifest.',
    })),
    ...batch.refused.map(({ clip, target, reason, next }) => ({
      kind: 'refused' as const,
      title: html`${name(clip)}${target !== null && html` to ${name(target)}`}`,
      what: reason,
      next,
    })),
  ];
  return all.map((one, index) => ({ ...one, id: `undone-${index + 1}` }));
}

/** Everything that produced no file to judge: it would be overlooked anywhere but first. */
function troubles(batch: Batch): HtmlPart {
  const all = undone(batch);
  if (all.length === 0) return null;
  return html`<section id="undone" aria-labelledby="undone-h"><h2 id="undone-h">Not done</h2>
${all.map(
  ({ id, kind, title, what, next }) =>
    html`<article class="file fail short" id="${id}"><h3>${badge(kind)} ${title}</h3><p class="why">${name(sentence(what))}</p><p class="advice"><b>What to do:</b> ${name(sentence(next))}</p></article>`,
)}
</section>`;
}

/** A plain word at the start takes a capital; the name of a file or a program stays as it is. */
function sentence(text: string): string {
  return text.replace(
    /^(?!ff|goodgate)[a-z]+(?= )/,
    (word) => `${word.charAt(0).toUpperCase()}${word.slice(1)}`,
  );
}

function fileSections(files: readonly ReportFile[], documents: ReportDocuments, withPage: boolean): Html {
  let charts = FILES_WITH_CHARTS;
  const budget = new SizeBudget(documents);
  const section = (
    id: string,
    title: string,
    lead: string,
    standings: readonly Standing[],
    depth: 'open' | 'folded',
  ) => {
    const inIt = standings.flatMap((standing) => files.filter((file) => file.standing === standing));
    if (inIt.length === 0) return null;
    return html`<section id="${id}" aria-labelledby="${id}-h"><h2 id="${id}-h">${title}</h2><p class="lead">${lead}</p>
${inIt.map((file) => renderFile(file, depth, { withCharts: charts-- > 0, withFigures: hasFigures(files.length, withPage), withPage, builtInTargets: documents.builtInTargets, overTime: depth === 'open' ? budget.overTime(file) : null, asked: askedBy([file]), stillsOf: (finding) => budget.stills(file, finding) }))}</section>`;
  };
  return html`
${section('needs', 'Needs you', 'A requirement is not met, or could not be measured.', ['fail', 'unmeasured'], 'open')}
${section('warnings', 'Fit, with warnings', 'Everything that must be met is met. Read the warnings before sending.', ['warn'], 'folded')}
${section('fit', 'Fit', 'Measured, and every requirement met.', ['pass'], 'folded')}
${section('unjudged', 'Not judged', 'Measured or made, but no target asks anything of it.', ['unjudged'], 'folded')}`;
}

function clipsTable(batch: Batch, files: readonly ReportFile[], { originals }: ReportDocuments): HtmlPart {
  if (batch.clips.length === 0) return null;
  return html`<section id="clips" aria-labelledby="clips-h"><h2 id="clips-h">Clips that came in</h2>
<div class="scroll"><table class="clips stack">
<thead><tr><th scope="col">Clip</th><th scope="col">Picture</th><th scope="col">Rate</th><th scope="col">Start</th><th scope="col">Came of it</th><th scope="col">Work</th></tr></thead>
<tbody>${batch.clips.map((clip) => {
    const video = originals.get(clip.name)?.video ?? null;
    const container = originals.get(clip.name)?.container ?? null;
    const own = files.filter((file) => file.clip === clip);
    return html`<tr><th scope="row">${hasPages(batch) && originals.has(clip.name) ? html`<a href="${linkTo(pageOfMeasurement(originalMeasurementFile(clip.name)))}">${name(clip.name)}</a>` : name(clip.name)}</th>
<td>${video === null ? 'not measured' : html`${name(video.codec)} ${video.width} × ${video.height}, ${video.bitDepth.declared} bits ${video.chroma.declared ?? ''}`}</td>
<td data-label="Rate">${video?.frameRate ?? ''}</td><td data-label="Start">${container?.startTimecode && name(container.startTimecode)}</td>
<td>${own.length === 0 ? badge(clip.state === 'waiting' ? 'waiting' : 'not-done') : html`<ul class="own">${own.map((file) => html`<li><a href="#${file.id}">${badge(file.standing)}<span>${file.item.target === null ? 'file' : name(file.item.target)}</span></a></li>`)}</ul>`}</td>
<td data-label="Work">${clip.seconds !== null && typeset(duration(clip.seconds))}</td></tr>`;
  })}</tbody></table></div>
${hasFigures(batch.clips.length, hasPages(batch)) && originalFigures(batch, originals)}</section>`;
}

function originalFigures(batch: Batch, originals: ReportDocuments['originals']): HtmlPart {
  const figures = batch.clips.map((clip) => {
    const measured = originals.get(clip.name);
    return (
      measured &&
      html`<details class="all"><summary>${name(clip.name)}</summary>${renderMeasurement(measured)}</details>`
    );
  });
  if (originals.size === 0) return null;
  return html`<details class="all many"><summary>All figures of the clips as they came</summary>${figures}</details>`;
}
