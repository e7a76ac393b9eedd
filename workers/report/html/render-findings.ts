import type { Finding, Outcome } from '../../../jobs/verdict.js';
import { badge } from './badge.js';
import { place, plural } from './figures.js';
import { type Html, html, name } from './markup.js';
import { requirementTitle } from './requirement-titles.js';

/** Places listed in full; the rest are counted. */
const PLACES = 6;

const ORDER: Readonly<Record<Outcome, number>> = { fail: 0, unmeasured: 1, warn: 2, pass: 3 };

/** What is wrong with a file, one block for each finding, and below it everything it meets. */
export function renderFindings(findings: readonly Finding[], heading: 'h4' | 'h5'): Html {
  const troubled = findings.filter((finding) => finding.outcome !== 'pass');
  troubled.sort((a, b) => ORDER[a.outcome] - ORDER[b.outcome]);
  const met = findings.filter((finding) => finding.outcome === 'pass');
  return html`${troubled.map((finding) => findingBlock(finding, heading))}${met.length > 0 && metTable(met)}`;
}

function findingBlock(finding: Finding, heading: 'h4' | 'h5'): Html {
  const title = html`${badge(finding.outcome)} ${requirementTitle(finding.requirement)}`;
  return html`<div class="finding ${finding.outcome}">
${heading === 'h4' ? html`<h4>${title}</h4>` : html`<h5>${title}</h5>`}
<dl class="asked">
<div><dt>Expected</dt><dd>${name(finding.expected)}</dd></div>
<div><dt>Measured</dt><dd><strong>${name(finding.measured)}</strong></dd></div>
${finding.at.length > 0 && html`<div class="where"><dt>Where</dt><dd>${places(finding)}</dd></div>`}
</dl>
<p class="why">${finding.why}</p>
${finding.advice !== '' && html`<p class="advice"><b>What to do:</b> ${finding.advice}</p>`}
${finding.source !== null && html`<p class="source">Limit from: ${finding.source}</p>`}
</div>`;
}

function places(finding: Finding): Html {
  const shown = finding.at.slice(0, PLACES);
  const rest = finding.at.length - shown.length;
  return html`<ul class="places">${shown.map((range) => html`<li>${place(range)}</li>`)}${
    rest > 0 && html`<li>and ${plural(rest, 'more place')}</li>`
  }</ul>`;
}

function metTable(met: readonly Finding[]): Html {
  return html`<details class="met"><summary>${plural(met.length, 'requirement')} met</summary>
<div class="scroll"><table>
<thead><tr><th scope="col">Requirement</th><th scope="col">Expected</th><th scope="col">Measured</th></tr></thead>
<tbody>${met.map(
    (finding) =>
      html`<tr><th scope="row">${requirementTitle(finding.requirement)}</th><td>${name(finding.expected)}</td><td>${name(finding.measured)}</td></tr>`,
  )}</tbody></table></div></details>`;
}
