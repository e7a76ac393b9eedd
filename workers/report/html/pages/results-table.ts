import type { BatchTotals } from '../../../../jobs/plan/batch.js';
import { count } from '../../../../jobs/words/numbers.js';
import { bytes } from '../../../../jobs/words/quantities.js';
import { duration } from '../../../../jobs/words/times.js';
import { requirementTitle } from '../../../judge/requirement-title.js';
import { worstFindingsFirst } from '../../order.js';
import { countsByKind, type ResultKind } from '../../summary/counts-in-words.js';
import { type Fault, faultOf, faultText } from '../../summary/fault.js';
import { SINCE_WORDS } from '../../summary/since.js';
import { fileName, type ReportFile } from '../../summary/standing.js';
import type { Undone } from '../../summary/undone.js';
import { badge, badgeWord } from '../badge.js';
import { type Html, type HtmlPart, html, name, visibleText } from '../markup.js';
import { typeset } from '../typeset.js';
import { sentence } from './render-causes.js';

/** Findings told in a row; the file's own page has all. */
const FAULTS = 3;

/** One result as a row: a file, or what should have become one. */
interface ResultRow {
  readonly id: string;
  readonly kind: ResultKind;
  readonly title: string;
  readonly href: string | null;
  readonly target: string | null;
  readonly requirements: readonly string[];
  readonly what: Html;
  readonly seconds: number | null;
  readonly bytes: number | null;
}

export interface ResultsTable {
  readonly table: Html;
  /** What makes the lists of the table filter it, with no script. */
  readonly style: string;
}

const KINDS: readonly ResultKind[] = [
  'unreadable',
  'fail',
  'not-done',
  'unmeasured',
  'refused',
  'waiting',
  'warn',
  'pass',
  'unjudged',
];

/**
 * Every result of a batch in one row, worst first, with lists to choose by verdict, target and requirement.
 * They work by style alone. With script there are a search and sorting by column as well.
 *
 * @param linkOf where a file is told in full; null where nowhere
 */
export function resultsTable(
  files: readonly ReportFile[],
  undone: readonly Undone[],
  totals: BatchTotals,
  linkOf: (file: ReportFile) => string | null,
): ResultsTable {
  const rows = [...undone.map(rowOfUndone), ...files.map((file) => rowOfFile(file, linkOf(file)))];
  rows.sort((a, b) => KINDS.indexOf(a.kind) - KINDS.indexOf(b.kind));
  const targets = distinct(rows.map(({ target }) => target ?? ''));
  const requirements = distinct(rows.flatMap((row) => row.requirements));
  const choices: Choice[] = [
    {
      id: 'by-verdict',
      label: 'Verdict',
      options: countsByKind(totals).map(({ kind, count }) => ({
        key: `v-${kind}`,
        text: badgeWord(kind),
        count,
      })),
    },
    {
      id: 'by-target',
      label: 'Target',
      options: targets.map((target, index) => ({
        key: `t-${index}`,
        text: target === '' ? 'none' : target,
        count: rows.filter((row) => (row.target ?? '') === target).length,
      })),
    },
    {
      id: 'by-requirement',
      label: 'Not met or in doubt',
      options: requirements.map((requirement, index) => ({
        key: `r-${index}`,
        text: requirementTitle(requirement),
        count: rows.filter((row) => row.requirements.includes(requirement)).length,
      })),
    },
  ];
  const classesOf = (row: ResultRow): string =>
    [
      `v-${row.kind}`,
      `t-${targets.indexOf(row.target ?? '')}`,
      ...row.requirements.map((requirement) => `r-${requirements.indexOf(requirement)}`),
    ].join(' ');
  return {
    table: html`<div class="results">
<div class="choices">${choices.filter(({ options }) => options.length > 1).map(chooser)}<label class="by-text" hidden>Text <input id="by-text" type="search" autocomplete="off"></label></div>
<table class="stack rows">
<thead><tr>${['Verdict', 'File', 'Target', 'What is wrong, or met', 'Length', 'Size'].map((title) => html`<th scope="col">${title}</th>`)}</tr></thead>
<tbody>${rows.map((row) => renderRow(row, classesOf(row)))}</tbody></table>
<p class="shown hint"> of ${count(rows.length, 'result')} shown.</p></div>`,
    style: choices.map(styleOf).join(''),
  };
}

interface Choice {
  readonly id: string;
  readonly label: string;
  readonly options: readonly { readonly key: string; readonly text: string; readonly count: number }[];
}

function chooser({ id, label, options }: Choice): Html {
  return html`<label>${label} <select id="${id}" autocomplete="off"><option value="">all</option>${options.map(
    ({ key, text, count }) => html`<option value="${key}">${visibleText(text)} (${count})</option>`,
  )}</select></label>`;
}

/** A row without what a list has chosen is not shown. The keys are our own: nothing of a name is in them. */
function styleOf({ id, options }: Choice): string {
  return options
    .map(({ key }) => `.results:has(#${id} [value="${key}"]:checked) tbody tr:not(.${key}){display:none}\n`)
    .join('');
}

function renderRow(row: ResultRow, classes: string): Html {
  const title = name(row.title);
  return html`<tr id="${row.id}" class="${classes}"><td data-sort="${KINDS.indexOf(row.kind)}">${badge(row.kind)}</td><th scope="row">${row.href === null ? title : html`<a href="${row.href}">${title}</a>`}</th><td data-label="Target">${row.target !== null && name(row.target)}</td><td>${row.what}</td><td data-label="Length" data-sort="${row.seconds ?? -1}">${row.seconds !== null && typeset(duration(row.seconds))}</td><td data-label="Size" data-sort="${row.bytes ?? -1}">${row.bytes !== null && typeset(bytes(row.bytes))}</td></tr>
`;
}

function rowOfUndone({ id, kind, clip, target, what }: Undone): ResultRow {
  const nothing = { href: null, requirements: [], seconds: null, bytes: null };
  return { ...nothing, id: `row-${id}`, kind, title: clip, target, what: html`${name(sentence(what))}` };
}

function rowOfFile(file: ReportFile, href: string | null): ResultRow {
  const { id, standing, item, verdict, measurement } = file;
  const findings = verdict?.findings ?? [];
  const faults = worstFindingsFirst(findings)
    .filter(({ outcome }) => outcome !== 'pass')
    .map(faultOf);
  return {
    id: `row-${id}`,
    kind: standing,
    title: fileName(file),
    href,
    target: item.target,
    requirements: distinct(faults.flatMap(({ requirement }) => requirement ?? [])),
    what: whatOf(file, faults, findings.length - faults.length),
    seconds: measurement?.container.durationSeconds ?? null,
    bytes: item.bytes,
  };
}

function whatOf({ verdict, item }: ReportFile, faults: readonly Fault[], met: number): Html {
  if (item.since !== null) return html`<p>${SINCE_WORDS[item.since].what}</p>`;
  if (verdict === null) {
    return html`${item.target === null ? 'No target asks anything of it' : 'Its verdict cannot be read any more'}`;
  }
  const told: HtmlPart[] = faults
    .slice(0, FAULTS)
    .map(
      (fault) =>
        html`<p>${fault.waived !== null && html`${badge('waived')} `}${name(typeset(faultText(fault)))}</p>`,
    );
  const more = faults.length - FAULTS;
  return html`${told}${more > 0 && html`<p class="hint">and ${count(more, 'more finding')}</p>`}${
    faults.length === 0 && html`<span class="hint">${count(met, 'requirement')} met</span>`
  }`;
}

function distinct(texts: readonly string[]): string[] {
  return [...new Set(texts)];
}
