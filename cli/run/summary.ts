import type { Batch } from '../../jobs/plan/batch.js';
import { count, firstOf, grouped } from '../../jobs/words/numbers.js';
import { visible, wrap } from '../../jobs/words/plain-text.js';
import { moment } from '../../jobs/words/times.js';
import { below, FINDINGS_FILE, MARKERS_FOLDER, REPORT_FILE } from '../../workers/batch/folder.js';
import { loadReportDocuments, type ReportDocuments } from '../../workers/report/html/pages/load-documents.js';
import { type Cause, type CauseKind, causesOf } from '../../workers/report/summary/causes.js';
import { countBatch } from '../../workers/report/summary/count-batch.js';
import { countsInWords } from '../../workers/report/summary/counts-in-words.js';
import { faultText } from '../../workers/report/summary/fault.js';
import { headline, resultsText } from '../../workers/report/summary/headline.js';
import { type ReportFile, reportFiles } from '../../workers/report/summary/standing.js';
import { leftLines } from '../plan/already-there.js';

const WIDTH = 80;
const INDENT = 11;
/** Of one cause; the report has all. */
const FAULTS = 6;
const FILES = 5;

const LABELS: Readonly<Record<CauseKind, string>> = {
  fail: 'FAIL',
  unmeasured: 'UNMEASURED',
  warn: 'WARN',
  unreadable: 'UNREADABLE',
  'not-done': 'NOT DONE',
  refused: 'REFUSED',
  waiting: 'WAITING',
};

/** What is told of these is no finding: it has no outcome of its own. */
const OF_NO_FILE: ReadonlySet<CauseKind> = new Set(['unreadable', 'not-done', 'refused', 'waiting']);

function block(label: string, details: readonly string[]): string[] {
  return details.flatMap((detail, line) =>
    wrap(visible(detail), WIDTH - INDENT).map(
      (text, index) => `${(line === 0 && index === 0 ? label : '').padEnd(INDENT)}${text}`,
    ),
  );
}

/** One reason, its figures, and the files it holds for: as the report says it on its first screen. */
function causeLines({ kind, faults, figuresDiffer, files, next }: Cause): string[] {
  const told = faults.slice(0, FAULTS).map((fault) => {
    const { outcome, waived } = fault;
    const text = faultText(fault);
    const said = OF_NO_FILE.has(kind) || outcome === kind || waived !== null ? text : `${outcome}: ${text}`;
    return waived === null ? said : `waived ${waived} (${text})`;
  });
  const names = files.slice(0, FILES).map(({ name, target }) => nameOf(name, target));
  const rest = files.length - names.length;
  return block(LABELS[kind], [
    ...told,
    ...(faults.length > told.length ? [`and ${count(faults.length - told.length, 'more finding')}`] : []),
    ...(files.length > 1
      ? [`${count(files.length, 'result')}${figuresDiffer ? ', each with figures of its own' : ''}:`]
      : []),
    ...names.map((name) => `- ${name}`),
    ...(rest > 0 ? [`- and ${grouped(rest)} more in the report`] : []),
    ...(next === '' ? [] : [`next: ${next}`]),
  ]);
}

/** An output's path tells its target; a clip's name does not. */
function nameOf(name: string, target: string | null): string {
  return target === null || name.startsWith(`${target}/`) ? name : `${name} (${target})`;
}

/**
 * Where else to look: what is waived is counted, so that nobody forgets it, and the files beside the report
 * are named.
 */
function whereToLook(batch: Batch, files: readonly ReportFile[], out: string): string[] {
  const findings = files.flatMap((file) => file.verdict?.findings ?? []);
  const waived = findings.filter(({ waiver }) => waiver !== null).length;
  const { skipped, left, soundApart } = batch;
  const laid = soundApart.filter(({ laidInto }) => laidInto.length > 0).length;
  const marked = findings.some(({ outcome, at }) => outcome !== 'pass' && at.length > 0);
  return [
    ...(waived === 0 ? [] : [`${count(waived, 'finding')} waived: the report says by whom and until when.`]),
    ...(skipped.length === 0
      ? []
      : wrap(`${count(skipped.length, 'clip')} skipped by the manifest: the report names them.`, WIDTH)),
    ...(soundApart.length === 0
      ? []
      : wrap(
          `${count(soundApart.length, 'file')} of sound recorded apart, ${laid === 0 ? 'none' : grouped(laid)} laid into clips: named in the report.`,
          WIDTH,
        )),
    ...leftLines(left).flatMap((line) => wrap(visible(line), WIDTH)),
    `report:   ${visible(below(out, REPORT_FILE))}`,
    ...(findings.length === 0 ? [] : [`findings: ${visible(below(out, FINDINGS_FILE))}`]),
    ...(marked ? [`markers:  ${visible(below(out, MARKERS_FOLDER))}`] : []),
  ];
}

/** What a second run found done, so that nobody wonders why it was quick. */
function alreadyThere({ clips }: Batch): string[] {
  const there = clips.filter(({ wasThere }) => wasThere).length;
  if (there === 0) return [];
  const [be, them] = there === 1 ? ['was', 'it'] : ['were', 'them'];
  const line = `${there} of ${count(clips.length, 'clip')} ${be} already there: nothing of ${them} was made or measured again.`;
  return wrap(line, WIDTH);
}

/** What the hashes of this run tell of clips that an earlier one read. */
function bytesLines({ clips }: Batch): string[] {
  const read = clips.flatMap(({ name, bytesAsBefore }) =>
    bytesAsBefore ? [{ name, ...bytesAsBefore }] : [],
  );
  const same = read.filter((clip) => clip.same).length;
  const other = read.filter((clip) => !clip.same).map(({ name, at }) => `${visible(name)} (${moment(at)})`);
  return [
    ...(same === 0 ? [] : [`${count(same, 'clip')} read again: the same bytes as before, by hash.`]),
    ...(other.length === 0
      ? []
      : [`${count(other.length, 'clip')} with other bytes than when last read: ${firstOf(other, 3)}.`]),
  ].flatMap((line) => wrap(line, WIDTH));
}

/**
 * How the batch ended: the sentence a supervisor needs, the counts, every cause worst first, then where to
 * look. The same counts, order and words as on the first screen of the report.
 *
 * @param ran false: only the reports were written, and nothing is said of what a run found done
 */
export function batchSummary(
  batch: Batch,
  documents: ReportDocuments,
  out: string,
  { ran = true }: { readonly ran?: boolean } = {},
): string {
  const files = reportFiles(batch, documents);
  const totals = countBatch(batch, files);
  const causes = causesOf(batch, files, documents.originals);
  return [
    headline(batch, totals),
    ...wrap(`${resultsText(totals)}: ${countsInWords(totals)}.`, WIDTH),
    ...(ran ? [...alreadyThere(batch), ...bytesLines(batch)] : []),
    '',
    ...causes.flatMap(causeLines),
    ...(causes.length > 0 ? [''] : []),
    ...(batch.state === 'interrupted'
      ? wrap(`Run the same command again${plannedFrom(batch)}: only what is missing will be done.`, WIDTH)
      : []),
    ...whereToLook(batch, files, out),
  ].join('\n');
}

/** Whoever comes back to a folder weeks later does not remember the command. */
function plannedFrom({ manifests }: Batch): string {
  return manifests.length === 0 ? '' : `, of ${manifests.map(visible).join(' and of ')}`;
}

export function documentsOf(batch: Batch, out: string): Promise<ReportDocuments> {
  return loadReportDocuments(batch, out);
}
