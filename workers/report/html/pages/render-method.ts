import type { Measurement } from '../../../../jobs/measurement/measurement.js';
import type { Batch } from '../../../../jobs/plan/batch.js';
import type { Finding } from '../../../../jobs/verdict/verdict.js';
import { type Html, type HtmlPart, html, name, visibleText } from '../markup.js';
import type { ReportDocuments } from './load-documents.js';

/** How the figures of a batch were made, what repeats them, and what they do not promise. */
export function renderMethod(batch: Batch, documents: ReportDocuments): Html {
  const all = [...documents.measurements.values(), ...documents.originals.values()];
  const findings = [...documents.verdicts.values()].flatMap((verdict) => verdict.findings);
  return renderMethodOf(
    batch.method,
    all,
    findings,
    html`<p><span class="label">To repeat one file</span> <code>goodgate check FILE --target TARGET</code>, written out with each finding; a copy takes <code>--original</code> as well. <span class="label">To go on with this batch</span> run the same command as before${batch.manifests.length > 0 && html`, of ${batch.manifests.map((each, index) => html`${index > 0 && ' and of '}${name(each)}`)}`}: only what is missing or changed is made again.</p>`,
  );
}

/** The same for any set of files. */
export function renderMethodOf(
  method: Batch['method'],
  all: readonly Measurement[],
  findings: readonly Finding[],
  repeat: HtmlPart,
): Html {
  const standards = [...new Set(all.flatMap((measured) => measured.method.standards))].sort();
  const ffmpegs = new Set([method.ffmpeg, ...all.map((measured) => measured.method.ffmpeg)]);
  return html`<section id="method" aria-labelledby="method-h"><h2 id="method-h">How it was measured</h2>
<p>Every figure comes from the decoded samples of the whole file. What a file's headers say is shown as “declared” and never taken for a measurement.</p>
<dl class="asked">
<div><dt>goodgate</dt><dd>${visibleText(method.goodgate)}</dd></div>
<div><dt>ffmpeg</dt><dd>${[...ffmpegs].map((version, index) => html`${index > 0 && ', '}${name(version)}`)}</dd></div>
</dl>
${standards.length > 0 && html`<h3>Editions followed</h3><ul class="standards">${standards.map((standard) => html`<li>${name(standard)}</li>`)}</ul>`}
${repeat}
${cautions(all, findings)}
</section>`;
}

function cautions(all: readonly Measurement[], findings: readonly Finding[]): HtmlPart {
  const sound = all.some((measured) => measured.audio.length > 0);
  const levels = all.some((measured) => measured.levels !== null);
  const exposure = all.some((measured) => measured.exposure !== null);
  const flash =
    all.some((measured) => measured.events.some((event) => /(^|-)flash$/.test(event.kind))) ||
    findings.some((finding) => finding.requirement.includes('flash'));
  const edition = (pattern: RegExp) =>
    [...new Set(all.flatMap((measured) => measured.method.standards))]
      .filter((standard) => pattern.test(standard))
      .join('; ');
  const notes: HtmlPart[] = [
    flash &&
      'Flashing pictures were screened after ITU-R BT.1702. A screening is not a certified photosensitivity test: before broadcast, use the test your broadcaster approves and follow the rules that hold where it is shown.',
    sound &&
      html`Loudness follows ${edition(/1770|R ?128|334[12]/) || 'the edition named in each measurement'}. Whether a loudness is acceptable is for the broadcaster's rules and local law to say.`,
    levels &&
      html`Level tolerances follow ${edition(/R ?103/) || 'the edition named in each measurement'}; a house may ask for tighter ones.`,
    exposure && 'Exposure figures are advice. The person who lit the scene knows what was meant.',
  ].filter((note) => note !== false);
  if (notes.length === 0) return null;
  return html`<h3>Cautions</h3><ul class="cautions">${notes.map((note) => html`<li>${note}</li>`)}</ul>`;
}
