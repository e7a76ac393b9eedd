import { slateText } from '../../../../jobs/manifest/slate.js';
import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import type { Batch, BatchClip, BatchItem } from '../../../../jobs/plan/batch.js';
import type { Finding } from '../../../../jobs/verdict/verdict.js';
import { count } from '../../../../jobs/words/numbers.js';
import { placeText } from '../../../../jobs/words/places.js';
import { bytes } from '../../../../jobs/words/quantities.js';
import { duration, moment } from '../../../../jobs/words/times.js';
import { damageIn } from '../../../judge/original/damage.js';
import { requirementTitle } from '../../../judge/requirement-title.js';
import { exposureRows } from '../../measured-rows/picture-rows.js';
import { overviewKey, stillKey } from '../../stills/still.js';
import { fileHeadline } from '../../summary/headline.js';
import type { ReportFile } from '../../summary/standing.js';
import { badge } from '../badge.js';
import { type Html, type HtmlPart, html, name, visibleText } from '../markup.js';
import { renderCharts } from '../plots/file-charts.js';
import { histogramScales } from '../plots/histogram-scale.js';
import { renderHistograms } from '../plots/histograms.js';
import { placesOf } from '../plots/places-chart.js';
import { askedBy } from '../plots/plot-limits.js';
import { renderOverTime } from '../plots/plots-over-time.js';
import { stopsPlot } from '../plots/stops-plot.js';
import { type TimeAxis, timeAxisOf } from '../plots/time-axis.js';
import { drawTimePlot } from '../plots/time-plot.js';
import { typeset } from '../typeset.js';
import type { ReportDocuments } from './load-documents.js';
import { linkToBatch, linkToFolder, type MediaPage } from './media-pages.js';
import { renderPage } from './page.js';
import { judgeAgainLine, renderActions } from './render-actions.js';
import { renderFindings, troubledFindings } from './render-findings.js';
import { lossList } from './render-losses.js';
import { renderMeasurement } from './render-measurement.js';
import { renderMethodOf } from './render-method.js';
import { renderStills } from './render-stills.js';

interface Section {
  readonly id: string;
  readonly title: string;
  readonly body: Html;
}

/**
 * The report of one file as one HTML document: what a supervisor sends along with a master. Deterministic,
 * like the batch's.
 */
export function renderMaster(page: MediaPage, batch: Batch, documents: ReportDocuments): string {
  const { measurement, judged, kind } = page;
  const asked = askedBy(judged);
  const findings = judged.flatMap(({ verdict }) => verdict?.findings ?? []);
  const overTime = renderOverTime(measurement, asked, findings, 'all', kind !== 'original');
  const time = timeAxisOf(measurement);
  const places = time === null ? null : placesOf(measurement, findings, time);
  const scales = histogramScales(measurement, asked);
  const histograms = renderHistograms(measurement, scales, 'scale');
  const summary = renderCharts(measurement, findings, asked, false);
  const sections: Section[] = [
    ...section('places', 'Where it happens', places),
    ...(kind === 'original' ? originalSection(measurement, time, documents) : []),
    ...judged.map((file, index) => targetSection(file, index, page, documents)),
    ...section('over-time', 'Over time', overTime),
    ...section('histograms', 'Histograms', histograms),
    ...section('extremes', 'Extremes and totals', summary),
    ...section('losses', 'What making it cost', losses(judged)),
    ...section('figures', 'All figures measured', renderMeasurement(measurement)),
  ];
  const damage = damageIn(measurement);
  const headline = judged.length === 0 && damage !== null ? `Damaged: it ${damage}.` : fileHeadline(judged);
  return renderPage({
    title: `${headline} ${page.name}`,
    skipTo: 'Skip to the findings',
    body: html`${top(page, headline)}
<nav aria-label="Contents"><ul>${sections.map(({ id, title }) => html`<li><a href="#${id}">${title}</a></li>`)}
<li><a href="#method">How it was measured</a></li></ul></nav>
<main id="main">
${sections.map(
  ({ id, title, body }) =>
    html`<section id="${id}" aria-labelledby="${id}-h"><h2 id="${id}-h">${title}</h2>${body}</section>`,
)}
${renderMethodOf(batch.method, [measurement], findings, commands(page, documents))}
</main>
<footer><p>goodgate ${visibleText(batch.method.goodgate)}, ${moment(batch.finishedAt ?? batch.startedAt)}. Part of <a href="${linkToBatch(page.path)}">the report of ${name(batch.title)}</a>; the figures as data: ${name(page.measurementFile)}</p></footer>`,
  });
}

function section(id: string, title: string, body: Html | null): Section[] {
  return body === null ? [] : [{ id, title, body: html`<div class="sheet">${body}</div>` }];
}

function top(page: MediaPage, headline: string): Html {
  const { measurement, kind, clip } = page;
  const { video, container, file } = measurement;
  const slateWords = slateText(clip.slate ?? container.slate);
  const facts: HtmlPart[] = [
    kind === 'output' ? html`made from ${name(clip.name)}` : 'measured as it came',
    video !== null &&
      html`${name(video.codec)} ${video.width} × ${video.height}, ${video.bitDepth.declared} bits`,
    video !== null && count(video.frames, 'frame'),
    container.durationSeconds !== null && typeset(duration(container.durationSeconds)),
    container.startTimecode !== null && html`from ${name(container.startTimecode)}`,
    typeset(bytes(file.bytes)),
    slateWords !== '' && name(slateWords),
    kind === 'original' && bytesAsBeforeText(clip),
  ].filter((fact) => fact !== false);
  return html`<header class="top">
<p class="kicker">${kind === 'output' ? 'Report of one output' : 'Report of one original'}</p>
<h1>${name(page.name)}</h1>
<p class="headline">${headline}</p>
<p class="about">${facts.map((fact) => html`<span>${fact}</span>`)}</p>
${problems(page)}
</header>`;
}

function bytesAsBeforeText({ bytesAsBefore }: BatchClip): string | false {
  if (bytesAsBefore === null) return false;
  const { at, same } = bytesAsBefore;
  return same ? `same bytes as on ${moment(at)}` : `other bytes than on ${moment(at)}`;
}

interface Problem {
  readonly finding: Finding;
  readonly target: string | null;
  readonly href: string;
}

/**
 * Each problem in one line, worst first, to be read where nothing else is. What several targets say alike is
 * said once.
 */
function problems({ judged }: MediaPage): HtmlPart {
  const alike = new Map<string, Problem[]>();
  judged.forEach((file, index) => {
    troubledFindings(file.verdict?.findings ?? []).forEach((finding, at) => {
      const { requirement, outcome, expected, measured, waiver } = finding;
      const key = JSON.stringify([requirement, outcome, expected, measured, waiver]);
      const href = `#target-${index + 1}-finding-${at + 1}`;
      alike.set(key, [...(alike.get(key) ?? []), { finding, target: file.item.target, href }]);
    });
  });
  if (alike.size === 0) return null;
  const worst = troubledFindings([...alike.values()].flatMap(([first]) => (first ? [first.finding] : [])));
  const lines = [...alike.values()]
    .sort(([a], [b]) => (a && b ? worst.indexOf(a.finding) - worst.indexOf(b.finding) : 0))
    .map((same) => problemLine(same, judged.length));
  return html`<ul class="problems">${lines}</ul>`;
}

function problemLine(same: readonly Problem[], targets: number): HtmlPart {
  const [first] = same;
  if (first === undefined) return null;
  const { finding, href } = first;
  const [at] = finding.at;
  const more = finding.at.length - 1;
  const by = same.map(({ target }) => target ?? '').join(', ');
  return html`<li>${badge(finding.waiver === null ? finding.outcome : 'waived')}<div><a href="${href}">${requirementTitle(finding.requirement)}</a>${
    at !== undefined && html` at ${placeText(at)}${more > 0 && ` and ${count(more, 'more place')}`}`
  }<br>${name(typeset(firstSentence(finding.measured)))} <span class="hint">expected ${name(typeset(finding.expected))}${targets > 1 && html` (${name(by)})`}</span>${
    finding.waiver !== null && html` <span class="hint">waived by ${name(finding.waiver.by)}</span>`
  }</div></li>`;
}

/** The list is to be read at a glance; cautions and the rest stand whole with the finding. */
function firstSentence(text: string): string {
  return text.split(/\.\s+(?=\p{Lu})/u, 1)[0] ?? text;
}

function targetSection(
  file: ReportFile,
  index: number,
  page: MediaPage,
  documents: ReportDocuments,
): Section {
  const { verdict, item } = file;
  // The headline of the page says already how a file stands to its only target.
  const only = page.judged.length === 1;
  const acted = { ...file, toFolder: linkToFolder(page.path) };
  const id = `target-${index + 1}`;
  return {
    id,
    title: `Against ${visibleText(item.target ?? 'no target')}`,
    body: html`<div class="file ${file.standing}">${only ? null : html`<p>${badge(file.standing)} ${fileHeadline([file])}</p>`}
${verdict === null && html`<p class="notice">The verdict of this file cannot be read any more, so nothing here proves it. Measure it again with the command below.</p>`}
${verdict !== null && renderFindings(verdict.findings, { heading: 'h3', id: `${id}-finding`, allPlaces: true, actionsOf: (finding) => renderActions(acted, finding, documents), stillsOf: (finding) => documents.stills.get(stillKey(verdict.file, verdict.target, finding.requirement)) ?? [] })}</div>`,
  };
}

/** What a cinematographer asks of a camera original first: what it is, and how it is exposed. */
function originalSection(
  measurement: Measurement,
  time: TimeAxis | null,
  { stills }: ReportDocuments,
): Section[] {
  const rows = exposureRows(measurement);
  const pictures = stills.get(overviewKey(measurement.file.path)) ?? [];
  if (rows.length === 0 && pictures.length === 0) return [];
  const plot = stopsPlot(measurement);
  const title = rows.length === 0 ? 'Picture' : 'Exposure';
  return section(
    'exposure',
    title,
    html`${renderStills(pictures)}${
      rows.length > 0 &&
      html`<dl class="asked">${rows.map(
        ([title, words]) => html`<div><dt>${title}</dt><dd>${name(typeset(words))}</dd></div>`,
      )}</dl>`
    }${plot !== null && time !== null && html`<div class="plots">${drawTimePlot(plot, time)}</div>`}`,
  );
}

function losses(judged: readonly ReportFile[]): Html | null {
  const all = judged[0]?.item.losses ?? [];
  if (all.length === 0) return null;
  return html`<div class="losses">${lossList(all)}</div>`;
}

function commands(
  { judged, path, clip, kind, measurement, measurementFile }: MediaPage,
  documents: ReportDocuments,
): HtmlPart {
  const toFolder = linkToFolder(path);
  if (judged.length > 0) return judged.map((file) => judgeAgainLine({ ...file, toFolder }, documents));
  const item: BatchItem = {
    ...{ kind, target: null, path: measurement.file.path, measurement: measurementFile, verdict: null },
    ...{ sha256: { measurement: null, verdict: null }, word: null, losses: [] },
    ...{ bytes: null, modified: null, changed: null, since: null },
  };
  return judgeAgainLine({ item, clip, measurement, toFolder }, documents);
}
