import { count, grouped } from '../../../../jobs/words/numbers.js';
import type { Cause, CauseFile } from '../../summary/causes.js';
import { badge } from '../badge.js';
import { type Html, type HtmlPart, html, name } from '../markup.js';
import { typeset } from '../typeset.js';

/** Causes on the first screen, and below them one line to open for the rest: none is left out. */
const AT_ONCE = 12;
/** Of one cause. */
const FAULTS = 8;
const FILES = 6;

/** Why results are not simply fit: each reason once, with its figures and the files it holds for. */
export function renderCauses(causes: readonly Cause[], linkOf: (file: CauseFile) => string | null): HtmlPart {
  if (causes.length === 0) return null;
  const list = (some: readonly Cause[]) =>
    html`<ul class="problems">${some.map((cause) => renderCause(cause, linkOf))}</ul>`;
  const rest = causes.slice(AT_ONCE);
  return html`${list(causes.slice(0, AT_ONCE))}${
    rest.length > 0 &&
    html`<details><summary>${count(rest.length, 'more cause')}</summary>${list(rest)}</details>`
  }`;
}

function renderCause(cause: Cause, linkOf: (file: CauseFile) => string | null): Html {
  const { kind, faults, files, next, figuresDiffer } = cause;
  const more = faults.length - FAULTS;
  const lines = faults.slice(0, FAULTS).map(({ outcome, what, expected, waived }) => {
    const isApart = waived === null && kind !== outcome && (kind === 'fail' || kind === 'unmeasured');
    return html`<p class="${waived === null ? 'fault' : 'fault accepted'}">${isApart && html`${badge(outcome)} `}${waived !== null && html`${badge('waived')} `}<b>${name(typeset(sentence(what)))}</b>${expected !== '' && html`; <span class="expected">${name(typeset(expected))}</span>`}${waived !== null && html` <span class="hint">waived ${name(waived)}</span>`}</p>`;
  });
  return html`<li>${badge(kind)}<div>${lines}${more > 0 && html`<p class="hint">and ${count(more, 'more finding')}</p>`}
${fileList(files, figuresDiffer, linkOf)}${next !== '' && html`<p class="hint">What to do: ${name(sentence(next))}</p>`}</div></li>`;
}

function fileList(
  files: readonly CauseFile[],
  figuresDiffer: boolean,
  linkOf: (file: CauseFile) => string | null,
): Html {
  const item = (file: CauseFile) => {
    const href = linkOf(file);
    const title = name(file.name);
    const target =
      file.target !== null && !file.name.startsWith(`${file.target}/`) && html` (${name(file.target)})`;
    return html`${href === null ? title : html`<a href="${href}">${title}</a>`}${target}`;
  };
  const [only] = files;
  if (files.length === 1 && only !== undefined) return html`<p class="whose">${item(only)}</p>`;
  const [first, rest] = [files.slice(0, FILES), files.slice(FILES)];
  const whole = (some: readonly CauseFile[]) =>
    html`<ul>${some.map((file) => html`<li>${item(file)}</li>`)}</ul>`;
  return html`<div class="whose">${count(files.length, 'result')}${figuresDiffer && ', each with figures of its own; these are of the first'}:${whole(first)}${
    rest.length > 0 &&
    html`<details><summary>and ${grouped(rest.length)} more</summary>${whole(rest)}</details>`
  }</div>`;
}

/** A plain word at the start takes a capital; the name of a file or a program stays as it is. */
export function sentence(text: string): string {
  return text.replace(
    /^(?!ff|goodgate)[a-z]+(?= )/,
    (word) => `${word.charAt(0).toUpperCase()}${word.slice(1)}`,
  );
}
