import type { Batch } from '../../jobs/plan/batch.js';
import type { Finding } from '../../jobs/verdict/verdict.js';
import { count } from '../../jobs/words/numbers.js';
import { startText } from '../../jobs/words/places.js';
import { visible, wrap } from '../../jobs/words/plain-text.js';
import { below, FINDINGS_FILE, MARKERS_FOLDER, REPORT_FILE } from '../../workers/batch/folder.js';
import { describeWaiver } from '../../workers/report/describe-finding.js';
import { loadReportDocuments, type ReportDocuments } from '../../workers/report/html/pages/load-documents.js';
import { headline, type ReportFile, reportFiles, tallyBatch } from '../../workers/report/html/standing.js';
import { worstFindingsFirst } from '../../workers/report/order.js';

const WIDTH = 80;
const INDENT = 11;

function block(label: string, subject: string, details: readonly string[]): string[] {
  const rows = (head: string, text: string) =>
    wrap(text, WIDTH - INDENT).map((line, index) => `${(index === 0 ? head : '').padEnd(INDENT)}${line}`);
  return [...rows(label, visible(subject)), ...details.flatMap((detail) => rows('', visible(detail)))];
}

function place(finding: Finding): string {
  const first = finding.at[0];
  if (first === undefined) return '';
  const more = finding.at.length > 1 ? ` and ${count(finding.at.length - 1, 'more place')}` : '';
  return ` at ${startText(first)}${more}`;
}

function detailsOf(file: ReportFile): string[] {
  if (file.verdict === null) return ['its verdict is missing: run the batch again'];
  return worstFindingsFirst(file.verdict.findings)
    .filter((finding) => finding.outcome !== 'pass')
    .map((finding) => {
      const { requirement, measured, expected, waiver } = finding;
      const found = `${requirement}: ${measured}; expected ${expected}${place(finding)}`;
      return waiver === null ? found : `waived ${describeWaiver(waiver)} (${found})`;
    });
}

const ORDER = { fail: 0, unmeasured: 1, warn: 2 } as const;
const LABEL = { fail: 'FAIL', unmeasured: 'UNMEASURED', warn: 'WARN' } as const;

/** What each file that is not simply fit has to say, worst first. */
function troubles(files: readonly ReportFile[]): string[] {
  const troubled = files.flatMap((file) => {
    const { standing } = file;
    return standing === 'fail' || standing === 'unmeasured' || standing === 'warn'
      ? [{ file, standing }]
      : [];
  });
  troubled.sort((a, b) => ORDER[a.standing] - ORDER[b.standing]);
  return troubled.flatMap(({ file, standing }) => {
    const against =
      file.item.kind === 'original' && file.item.target !== null ? ` against ${file.item.target}` : '';
    return block(
      LABEL[standing],
      `${file.item.kind === 'original' ? file.clip.name : file.item.path}${against}`,
      detailsOf(file),
    );
  });
}

/**
 * Where else to look: what is waived is counted, so that nobody forgets it, and the files beside the report
 * are named.
 */
function whereToLook(files: readonly ReportFile[], out: string): string[] {
  const findings = files.flatMap((file) => file.verdict?.findings ?? []);
  const waived = findings.filter(({ waiver }) => waiver !== null).length;
  const marked = findings.some(({ outcome, at }) => outcome !== 'pass' && at.length > 0);
  return [
    ...(waived === 0 ? [] : [`${count(waived, 'finding')} waived, each told above with who and until when.`]),
    `report:   ${visible(below(out, REPORT_FILE))}`,
    ...(findings.length === 0 ? [] : [`findings: ${visible(below(out, FINDINGS_FILE))}`]),
    ...(marked ? [`markers:  ${visible(below(out, MARKERS_FOLDER))}`] : []),
  ];
}

/** How the batch ended: the sentence a supervisor needs, problems first, then where to look. */
export function batchSummary(batch: Batch, documents: ReportDocuments, out: string): string {
  const files = reportFiles(batch, documents);
  const lines = [...wrap(headline(batch, tallyBatch(batch, files)), WIDTH), ''];
  for (const clip of batch.clips) {
    if (clip.error !== null) {
      lines.push(
        ...block('NOT DONE', clip.name, [
          clip.error.what,
          ...(clip.error.next === null ? [] : [`next: ${clip.error.next}`]),
        ]),
      );
    }
  }
  for (const { file, reason } of batch.unreadable) lines.push(...block('UNREADABLE', file, [reason]));
  for (const { clip, target, reason, next } of batch.refused) {
    lines.push(
      ...block('REFUSED', `${clip}${target === null ? '' : ` -> ${target}`}`, [reason, `next: ${next}`]),
    );
  }
  lines.push(...troubles(files));
  if (lines.at(-1) !== '') lines.push('');
  if (batch.state === 'interrupted')
    lines.push('Run the same command again: only what is missing will be done.');
  lines.push(...whereToLook(files, out));
  return lines.join('\n');
}

export function documentsOf(batch: Batch, out: string): Promise<ReportDocuments> {
  return loadReportDocuments(batch, out);
}
