import type { Finding, Outcome } from '../../../../jobs/verdict/verdict.js';
import { count } from '../../../../jobs/words/numbers.js';
import { placeText } from '../../../../jobs/words/places.js';
import { requirementTitle } from '../../../judge/requirement-title.js';
import type { Still } from '../../stills/still.js';
import { badge } from '../badge.js';
import { type Html, type HtmlPart, html, name } from '../markup.js';
import { typeset } from '../typeset.js';
import { renderStills } from './render-stills.js';

/** Places listed in full; the rest are counted. */
const PLACES = 6;

const ORDER: Readonly<Record<Outcome, number>> = { fail: 0, unmeasured: 1, warn: 2, pass: 3 };

export interface FindingsOptions {
  readonly heading: 'h3' | 'h4';
  /** Begins the id of every finding, so that a page can point to it; none are given where it is left out. */
  readonly id?: string;
  /**
   * In short: the worst finding whole, the others by name and what is met by its number; the file's own page
   * has all.
   */
  readonly short?: boolean;
  readonly stillsOf: (finding: Finding) => readonly Still[];
}

/** What a reader has to look at, worst first; what a person has waived comes after the rest. */
export function troubledFindings(findings: readonly Finding[]): Finding[] {
  const rank = (finding: Finding) => ORDER[finding.outcome] + (finding.waiver === null ? 0 : 10);
  return findings.filter((finding) => finding.outcome !== 'pass').sort((a, b) => rank(a) - rank(b));
}

/** Findings shown whole where a file is told in short. */
const IN_SHORT = 1;

/** What is wrong with a file, one block for each finding, and below it everything it meets. */
export function renderFindings(findings: readonly Finding[], options: FindingsOptions): Html {
  const met = findings.filter((finding) => finding.outcome === 'pass');
  const troubled = troubledFindings(findings);
  const whole = options.short === true ? troubled.slice(0, IN_SHORT) : troubled;
  const blocks = whole.map((finding, index) => findingBlock(finding, index, options));
  if (options.short !== true) return html`${blocks}${met.length > 0 && metTable(met)}`;
  return html`${blocks}${byName(troubled.slice(IN_SHORT))}${met.length > 0 && html`<p>${count(met.length, 'requirement')} met.</p>`}`;
}

function byName(findings: readonly Finding[]): HtmlPart {
  const outcomes = [...new Set(findings.map(({ outcome }) => outcome))];
  return outcomes.map((outcome) => {
    const titles = findings
      .filter((finding) => finding.outcome === outcome)
      .map(({ requirement }) => requirementTitle(requirement));
    return html`<p>Also ${badge(outcome)} ${titles.join('; ')}</p>`;
  });
}

function findingBlock(finding: Finding, index: number, { heading, id, stillsOf }: FindingsOptions): Html {
  const title = html`${badge(finding.outcome)} ${requirementTitle(finding.requirement)}`;
  const anchor = id === undefined ? null : html` id="${id}-${index + 1}"`;
  const { expected, measured, at, everyPlace, why, advice, source, outcome } = finding;
  return html`<div class="finding ${outcome}"${anchor}><div class="told">
${heading === 'h3' ? html`<h3>${title}</h3>` : html`<h4>${title}</h4>`}
<dl class="asked">
<div><dt>Expected</dt><dd>${name(typeset(expected))}</dd></div>
<div><dt>Measured</dt><dd><strong>${name(typeset(measured))}</strong></dd></div>
${at.length > 0 && html`<div class="where"><dt>${everyPlace ? 'Where' : 'Where, for example'}</dt><dd>${places(finding)}</dd></div>`}
</dl>
${waived(finding)}
<p class="why">${why}</p>
${advice !== '' && html`<p class="advice"><b>What to do:</b> ${advice}</p>`}
${source !== null && html`<p class="source">Limit from: ${source}</p>`}
</div>${renderStills(stillsOf(finding))}</div>`;
}

function waived({ waiver }: Finding): HtmlPart {
  if (waiver === null) return null;
  return html`<p class="waived"><b>Waived</b> by ${name(waiver.by)} until ${name(waiver.until)}: ${name(waiver.why)}</p>`;
}

function places(finding: Finding): Html {
  const shown = finding.at.slice(0, PLACES);
  const rest = finding.at.length - shown.length;
  return html`<ul class="places">${shown.map((range) => html`<li>${placeText(range)}</li>`)}${
    rest > 0 && html`<li>and ${count(rest, 'more place')}</li>`
  }</ul>`;
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
