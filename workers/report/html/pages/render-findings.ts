import type { Finding, Outcome } from '../../../../jobs/verdict/verdict.js';
import { count } from '../../../../jobs/words/numbers.js';
import { placeText } from '../../../../jobs/words/places.js';
import { requirementTitle } from '../../../judge/requirement-title.js';
import type { Still } from '../../stills/still.js';
import { badge } from '../badge.js';
import { type Html, type HtmlPart, html, name } from '../markup.js';
import { typeset } from '../typeset.js';
import { renderStills } from './render-stills.js';

/** Places listed at once; a page of a file has the rest to open, the batch's report counts them. */
const PLACES = 6;

const ORDER: Readonly<Record<Outcome, number>> = { fail: 0, unmeasured: 1, warn: 2, pass: 3 };

export interface FindingsOptions {
  readonly heading: 'h3' | 'h4';
  /** Begins the id of every finding, so that a page can point to it; none are given where it is left out. */
  readonly id?: string;
  /** Whether all places are listed; the batch's report has only the first, and leads to the file's page. */
  readonly allPlaces: boolean;
  /** What can be done with a finding: commands and links. */
  readonly actionsOf: (finding: Finding) => HtmlPart;
  readonly stillsOf: (finding: Finding) => readonly Still[];
}

/** What a reader has to look at, worst first; what a person has waived comes after the rest. */
export function troubledFindings(findings: readonly Finding[]): Finding[] {
  const rank = (finding: Finding) => ORDER[finding.outcome] + (finding.waiver === null ? 0 : 10);
  return findings.filter((finding) => finding.outcome !== 'pass').sort((a, b) => rank(a) - rank(b));
}

/** What is wrong with a file, one block for each finding, and below it everything it meets. */
export function renderFindings(findings: readonly Finding[], options: FindingsOptions): Html {
  const met = findings.filter((finding) => finding.outcome === 'pass');
  const blocks = troubledFindings(findings).map((finding, index) => findingBlock(finding, index, options));
  return html`${blocks}${met.length > 0 && metTable(met)}`;
}

function findingBlock(
  finding: Finding,
  index: number,
  { heading, id, allPlaces, actionsOf, stillsOf }: FindingsOptions,
): Html {
  const title = html`${finding.waiver !== null && html`${badge('waived')} `}${badge(finding.outcome)} ${requirementTitle(finding.requirement)}`;
  const anchor = id === undefined ? null : html` id="${id}-${index + 1}"`;
  const { expected, measured, at, everyPlace, why, advice, source, outcome } = finding;
  return html`<div class="finding ${outcome}${finding.waiver !== null && ' accepted'}"${anchor}><div class="told">
${heading === 'h3' ? html`<h3>${title}</h3>` : html`<h4>${title}</h4>`}
<dl class="asked">
<div><dt>Expected</dt><dd>${name(typeset(expected))}</dd></div>
<div><dt>Measured</dt><dd><strong>${name(typeset(measured))}</strong></dd></div>
${at.length > 0 && html`<div class="where"><dt>${everyPlace ? 'Where' : 'Where, for example'}</dt><dd>${places(finding, allPlaces)}</dd></div>`}
</dl>
${waived(finding)}
<p class="why">${why}</p>
${advice !== '' && html`<p class="advice"><b>What to do:</b> ${advice}</p>`}
${source !== null && html`<p class="source">Limit from: ${source}</p>`}
${actionsOf(finding)}
</div>${renderStills(stillsOf(finding))}</div>`;
}

function waived({ waiver }: Finding): HtmlPart {
  if (waiver === null) return null;
  return html`<p class="waived"><b>Waived</b> by ${name(waiver.by)} until ${name(waiver.until)}: ${name(waiver.why)}</p>`;
}

function places({ at }: Finding, all: boolean): Html {
  const list = (some: Finding['at']) =>
    html`<ul class="places">${some.map((range) => html`<li>${placeText(range)}</li>`)}</ul>`;
  const rest = at.slice(PLACES);
  if (rest.length === 0) return list(at);
  const more = count(rest.length, 'more place');
  return html`${list(at.slice(0, PLACES))}${
    all
      ? html`<details><summary>${more}</summary>${list(rest)}</details>`
      : html`<p class="hint">and ${more}</p>`
  }`;
}

function metTable(met: readonly Finding[]): Html {
  return html`<details class="met"><summary>${count(met.length, 'requirement')} met</summary>
<div class="scroll"><table class="stack">
<thead><tr><th scope="col">Requirement</th><th scope="col">Expected</th><th scope="col">Measured</th></tr></thead>
<tbody>${met.map(
    (finding) =>
      html`<tr><th scope="row">${requirementTitle(finding.requirement)}</th><td data-label="Expected">${name(typeset(finding.expected))}</td><td data-label="Measured">${name(typeset(finding.measured))}</td></tr>`,
  )}</tbody></table></div></details>`;
}
