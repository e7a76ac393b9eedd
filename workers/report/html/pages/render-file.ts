import { slateText } from '../../../../jobs/manifest/slate.js';
import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import type { Finding } from '../../../../jobs/verdict/verdict.js';
import { count } from '../../../../jobs/words/numbers.js';
import { bytes } from '../../../../jobs/words/quantities.js';
import { duration } from '../../../../jobs/words/times.js';
import type { Still } from '../../stills/still.js';
import { SINCE_WORDS } from '../../summary/since.js';
import { fileName, type ReportFile } from '../../summary/standing.js';
import { badge } from '../badge.js';
import { type Html, type HtmlPart, html, name } from '../markup.js';
import { renderCharts } from '../plots/file-charts.js';
import type { Asked } from '../plots/plot-limits.js';
import { typeset } from '../typeset.js';
import type { ReportDocuments } from './load-documents.js';
import { linkTo, pageOfMeasurement } from './media-pages.js';
import { judgeAgainLine, renderActions } from './render-actions.js';
import { renderFindings } from './render-findings.js';
import { lossList } from './render-losses.js';

export interface FileContext {
  /** Whether the file's own page is written. */
  readonly withPage: boolean;
  /** Whether all places of a finding are listed here. */
  readonly allPlaces: boolean;
  readonly documents: ReportDocuments;
  /** The plots over time, where the page has room for them; the file's own page always has them. */
  readonly overTime: Html | null;
  /** What the file's target asks, for the limits in its charts. */
  readonly asked: readonly Asked[];
  readonly stillsOf: (finding: Finding) => readonly Still[];
}

/** One file of the batch that needs a person: verdict, findings, charts, losses and what to do with it. */
export function renderFile(file: ReportFile, context: FileContext): Html {
  const { withPage, allPlaces, documents, overTime, asked, stillsOf } = context;
  const acted = { ...file, toFolder: '' };
  const { measurement, verdict } = file;
  const findings = verdict?.findings ?? [];
  return html`<article class="file ${file.standing}" id="${file.id}"><header><h3>${badge(file.standing)} ${name(fileName(file))}</h3>${about(file)}</header>
${sinceNotice(file)}
${missingDocuments(file)}
${renderFindings(findings, { heading: 'h4', allPlaces, actionsOf: (finding) => renderActions(acted, finding, documents), stillsOf })}
${losses(file)}
${overTime}
${measurement && renderCharts(measurement, findings, asked, overTime === null)}
${withPage && ownPage(file)}
${judgeAgainLine(acted, documents)}</article>`;
}

/** Relative, so that the folder can be moved, copied or put on a server as it is. */
function ownPage({ item, measurement }: ReportFile): HtmlPart {
  if (item.measurement === null || measurement === null) return null;
  return html`<p><a href="${linkTo(pageOfMeasurement(item.measurement))}">Plots over time, histograms and all findings on a page of its own</a></p>`;
}

function about({ clip, item, measurement }: ReportFile): Html {
  const slateWords = slateText(clip.slate);
  const facts: HtmlPart[] = [
    item.kind === 'output' ? html`made from ${name(clip.name)}` : 'original, judged as it came',
    slateWords !== '' && name(slateWords),
    item.target !== null && html`target <b>${name(item.target)}</b>`,
    ...(measurement === null ? [] : inShort(measurement)),
    item.bytes !== null && typeset(bytes(item.bytes)),
  ];
  return html`<p class="about">${facts.filter((fact) => fact !== false).map((fact) => html`<span>${fact}</span>`)}</p>`;
}

function inShort({ video, container }: Measurement): HtmlPart[] {
  const picture = video === null ? [] : [`${video.width} × ${video.height}`, count(video.frames, 'frame')];
  return [
    ...picture,
    ...(container.durationSeconds === null ? [] : [typeset(duration(container.durationSeconds))]),
  ];
}

function sinceNotice({ item: { since } }: ReportFile): HtmlPart {
  if (since === null) return null;
  const { what, next } = SINCE_WORDS[since];
  return html`<p class="notice">${what} What stands here is of the file as it was then. ${next}</p>`;
}

function missingDocuments({ item, verdict, measurement }: ReportFile): HtmlPart {
  const gone = [
    item.verdict !== null && verdict === null && 'verdict',
    item.measurement !== null && measurement === null && 'measurement',
  ].filter((what) => what !== false);
  if (gone.length === 0) return null;
  return html`<p class="notice">The ${gone.join(' and the ')} of this file cannot be read any more, so nothing here proves it. Measure it again with the command below.</p>`;
}

function losses({ item }: ReportFile): HtmlPart {
  if (item.losses.length === 0) return null;
  return html`<div class="losses"><h4>What making it cost</h4>${lossList(item.losses)}</div>`;
}
