import type { Batch, BatchClip } from '../../../../jobs/plan/batch.js';
import { whollyRefused } from '../../../../jobs/plan/came-in.js';
import { count, firstOf } from '../../../../jobs/words/numbers.js';
import { duration } from '../../../../jobs/words/times.js';
import { originalMeasurementFile } from '../../../batch/folder.js';
import { damageIn } from '../../../judge/original/damage.js';
import type { ReportFile } from '../../summary/standing.js';
import { badge } from '../badge.js';
import { type Html, type HtmlPart, html, name } from '../markup.js';
import { typeset } from '../typeset.js';
import type { ReportDocuments } from './load-documents.js';
import { hasPages, linkTo, pageOfMeasurement } from './media-pages.js';

/** Above this, a printed report leaves the table of clips to the screen. */
const PRINTED = 60;

/** Every clip that came in, what it is and what came of it; those that could not be read as well. */
export function clipsTable(
  batch: Batch,
  files: readonly ReportFile[],
  documents: Pick<ReportDocuments, 'originals'>,
): HtmlPart {
  const refused = whollyRefused({ ...batch, clips: batch.clips.map((clip) => clip.name) });
  const many = batch.clips.length + batch.unreadable.length + refused.length;
  if (many === 0) return html`${soundApart(batch)}${skippedClips(batch)}${leftFiles(batch)}`;
  const ofClip = new Map<BatchClip, ReportFile[]>();
  for (const file of files) ofClip.set(file.clip, [...(ofClip.get(file.clip) ?? []), file]);
  return html`<section id="clips"${many > PRINTED && html` class="unprinted"`} aria-labelledby="clips-h"><h2 id="clips-h">Clips that came in</h2>
<div class="scroll"><table class="clips stack">
<thead><tr><th scope="col">Clip</th><th scope="col">Picture</th><th scope="col">Rate</th><th scope="col">Start</th><th scope="col">Came of it</th><th scope="col">Work</th></tr></thead>
<tbody>${batch.clips.map((clip) => clipRow(clip, ofClip.get(clip) ?? [], hasPages(batch), documents))}
${batch.unreadable.map(({ file }) => unmeasuredRow(file, 'unreadable'))}
${refused.map((clip) => unmeasuredRow(clip, 'refused'))}</tbody></table></div></section>
${soundApart(batch)}${skippedClips(batch)}${leftFiles(batch)}`;
}

/** Sound recorded apart, so that nobody misses it: of it nothing is made by itself. */
function soundApart({ soundApart: sounds }: Batch): HtmlPart {
  if (sounds.length === 0) return null;
  return html`<section id="sound-apart"${sounds.length > PRINTED && html` class="unprinted"`} aria-labelledby="sound-apart-h"><h2 id="sound-apart-h">Sound recorded apart</h2>
<p class="hint">It was not measured by itself: <code>goodgate measure FILE</code> does so. Where it is laid, loudness and peaks are those of the outputs of its clips.</p>
<div class="scroll"><table class="clips stack">
<thead><tr><th scope="col">File</th><th scope="col">Take and start</th><th scope="col">Beside, by timecode</th><th scope="col">Laid into</th></tr></thead>
<tbody>${sounds.map(({ file, words, beside, laidInto }) => html`<tr><th scope="row">${name(file)}</th><td>${name(words === '' ? 'not stated' : words)}</td><td>${name(namesOr(beside, 'no clip'))}</td><td>${name(namesOr(laidInto, 'nothing'))}</td></tr>`)}</tbody></table></div></section>`;
}

/** Names of one cell; a day of sound may lie beside hundreds. */
const NAMES = 12;
function namesOr(names: readonly string[], none: string): string {
  return names.length === 0 ? none : firstOf(names, NAMES);
}

/** Clips of which the manifest wants nothing, so that nobody looks for them among the results. */
function skippedClips({ skipped }: Batch): HtmlPart {
  if (skipped.length === 0) return null;
  const byWhom = new Map<string, string[]>();
  for (const { clip, by } of skipped) byWhom.set(by, [...(byWhom.get(by) ?? []), clip]);
  return html`<section id="skipped"${skipped.length > PRINTED && html` class="unprinted"`} aria-labelledby="skipped-h"><h2 id="skipped-h">Skipped by the manifest</h2>
${[...byWhom].map(([by, clips]) => html`<h3>${count(clips.length, 'clip')} by ${name(by)}</h3><ul class="skipped">${clips.map((clip) => html`<li>${name(clip)}</li>`)}</ul>`)}</section>`;
}

/** Files of earlier plans that this one does not make: nobody should take them for judged. */
function leftFiles({ left }: Batch): HtmlPart {
  const refused = left.filter(({ why }) => why === 'refused');
  const others = left.filter(({ why }) => why === 'not-asked');
  return html`${leftList('Made before, cannot be made now', refused)}${leftList('No longer asked for', others)}`;
}

function leftList(title: string, left: Batch['left']): HtmlPart {
  const [first] = left;
  if (first === undefined) return null;
  const id = first.why === 'refused' ? 'left-refused' : 'left';
  return html`<section id="${id}"${left.length > PRINTED && html` class="unprinted"`} aria-labelledby="${id}-h"><h2 id="${id}-h">${title}</h2>
<p class="hint">Made for earlier plans of this folder. Nothing of this report speaks of them, and nothing deletes them.</p>
<ul class="skipped">${left.map(({ path }) => html`<li>${name(path)}</li>`)}</ul></section>`;
}

function unmeasuredRow(clip: string, why: 'unreadable' | 'refused'): Html {
  return html`<tr><th scope="row">${name(clip)}</th><td>not measured</td><td></td><td></td><td>${badge(why)}</td><td></td></tr>`;
}

function clipRow(
  clip: BatchClip,
  own: readonly ReportFile[],
  withPage: boolean,
  { originals }: Pick<ReportDocuments, 'originals'>,
): Html {
  const measured = originals.get(clip.name);
  const video = measured?.video ?? null;
  const damage = measured === undefined ? null : damageIn(measured);
  const title = name(clip.name);
  const page = linkTo(pageOfMeasurement(originalMeasurementFile(clip.name)));
  return html`<tr><th scope="row">${withPage && measured !== undefined ? html`<a href="${page}">${title}</a>` : title}</th>
<td>${video === null ? 'not measured' : html`${name(video.codec)} ${video.width} × ${video.height}, ${video.bitDepth.declared} bits ${video.chroma.declared ?? ''}`}${damage !== null && html`<br><b>${damage}</b>`}</td>
<td data-label="Rate">${video?.frameRate ?? ''}</td><td data-label="Start">${measured?.container.startTimecode && name(measured.container.startTimecode)}</td>
<td>${own.length === 0 ? badge(clip.state === 'waiting' ? 'waiting' : 'not-done') : html`<ul class="own">${own.map((file) => html`<li><a href="#row-${file.id}">${badge(file.standing)}<span>${file.item.target === null ? 'file' : name(file.item.target)}</span></a></li>`)}</ul>`}</td>
<td data-label="Work">${clip.state === 'done' && clip.seconds !== null && typeset(duration(clip.seconds))}</td></tr>`;
}
