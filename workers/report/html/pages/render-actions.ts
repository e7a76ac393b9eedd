import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import type { BatchClip, BatchItem } from '../../../../jobs/plan/batch.js';
import type { Finding } from '../../../../jobs/verdict/verdict.js';
import { FINDINGS_FILE, markersFile, originalMarkersFile } from '../../../batch/folder.js';
import { judgeAgain, waiveCommand } from '../commands.js';
import { type Html, type HtmlPart, html, visibleText } from '../markup.js';
import type { ReportDocuments } from './load-documents.js';
import { linkTo } from './media-pages.js';

/** One judged file, and the page that speaks of it. */
export interface ActedOn {
  readonly item: BatchItem;
  readonly clip: BatchClip;
  readonly measurement: Measurement | null;
  /**
   * From the page to the batch folder: empty for the batch's own report, `../` for a page one folder below.
   */
  readonly toFolder: string;
}

/** What can be done with one finding: the commands to copy, and the files to open. */
export function renderActions(file: ActedOn, finding: Finding, documents: ReportDocuments): Html {
  const waive = waiveCommand(file.item, finding, documents.sources);
  return html`<details class="actions"><summary>Judge again, waive, open</summary>
${judgeAgainLine(file, documents)}
${waive !== null && html`<p><span class="label">Waive it</span> <code>${visibleText(waive)}</code> <span class="hint">who, why and the last day it holds go between the quotes</span></p>`}
${openLine(file, documents)}</details>`;
}

/** The command that gives the same verdict. */
export function judgeAgainLine({ item, clip, measurement }: ActedOn, { sources }: ReportDocuments): Html {
  const label = item.target === null ? 'Measure again' : 'Judge again';
  return html`<p class="repeat"><span class="label">${label}</span> <code>${visibleText(judgeAgain(item, clip, measurement, sources))}</code>${
    item.kind === 'output' && html` <span class="hint">in the batch folder</span>`
  }</p>`;
}

function openLine({ item, clip, toFolder }: ActedOn, { sources, markers }: ReportDocuments): HtmlPart {
  const isOutput = item.kind === 'output';
  const media = isOutput ? item.path : sources.clipsFromFolder.get(clip.name);
  const marked = isOutput ? markersFile(item.path) : originalMarkersFile(clip.name);
  const links: HtmlPart[] = [
    media !== undefined && html`<a href="${toFolder}${linkTo(media)}">the file itself</a>`,
    markers.has(marked) && html`<a href="${toFolder}${linkTo(marked)}">its markers</a>`,
    html`<a href="${toFolder}${FINDINGS_FILE}">the table of all findings</a>`,
  ].filter((link) => link !== false);
  return html`<p><span class="label">Open</span> ${links.map((link, index) => html`${index > 0 && ', '}${link}`)}</p>`;
}
