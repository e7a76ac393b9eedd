import type { Measurement } from '../../../jobs/measurement/measurement.js';
import type { Batch, BatchClip, BatchItem } from '../../../jobs/plan/batch.js';
import type { Outcome, Verdict } from '../../../jobs/verdict/verdict.js';
import { count } from '../../../jobs/words/numbers.js';
import type { ReportDocuments } from './pages/load-documents.js';

/**
 * How a file stands. `unmeasured`: nothing failed, but a requirement could not be measured, or the verdict is
 * lost, so nobody can say that it is fit. `unjudged`: no target asked anything of it.
 */
export type Standing = 'fail' | 'unmeasured' | 'warn' | 'pass' | 'unjudged';

/** One file of the report: an output, or an original that was judged. */
export interface ReportFile {
  readonly id: string;
  readonly clip: BatchClip;
  readonly item: BatchItem;
  readonly standing: Standing;
  readonly verdict: Verdict | null;
  readonly measurement: Measurement | null;
}

export interface Tally {
  readonly files: number;
  readonly fit: number;
  readonly count: Readonly<Record<Standing, number>>;
  readonly failedClips: number;
  readonly waitingClips: number;
  readonly unreadable: number;
  readonly refused: number;
  /** Everything a person has to look at before the batch can be used. */
  readonly needYou: number;
}

function standingOf(item: BatchItem, verdict: Verdict | null): Standing {
  if (item.word === 'fail' || verdict?.verdict === 'fail') return 'fail';
  if (item.word === null) return item.target === null ? 'unjudged' : 'unmeasured';
  // A word without the findings behind it cannot be checked by the reader: the file is measured again, not
  // believed.
  if (verdict === null) return 'unmeasured';
  if (verdict.findings.some(({ outcome, waiver }) => outcome === 'unmeasured' && waiver === null)) {
    return 'unmeasured';
  }
  return item.word === 'warn' || verdict.verdict === 'warn' ? 'warn' : 'pass';
}

/** Every file of a batch with its documents, in the order of the batch. */
export function reportFiles(batch: Batch, documents: ReportDocuments): ReportFile[] {
  const files: ReportFile[] = [];
  for (const clip of batch.clips) {
    for (const item of clip.items) {
      const verdict = item.verdict === null ? null : (documents.verdicts.get(item.verdict) ?? null);
      const measurement =
        item.measurement === null ? null : (documents.measurements.get(item.measurement) ?? null);
      const id = `file-${files.length + 1}`;
      files.push({ id, clip, item, standing: standingOf(item, verdict), verdict, measurement });
    }
  }
  return files;
}

export function tallyBatch(batch: Batch, files: readonly ReportFile[]): Tally {
  const count: Record<Standing, number> = { fail: 0, unmeasured: 0, warn: 0, pass: 0, unjudged: 0 };
  for (const file of files) count[file.standing] += 1;
  const failedClips = batch.clips.filter((clip) => clip.state === 'failed').length;
  const waitingClips = batch.clips.filter((clip) => clip.state === 'waiting').length;
  const fit = count.pass + count.warn;
  return {
    files: files.length,
    fit,
    count,
    failedClips,
    waitingClips,
    unreadable: batch.unreadable.length,
    refused: batch.refused.length,
    needYou: count.fail + count.unmeasured + failedClips + batch.unreadable.length + batch.refused.length,
  };
}

/** The sentence a supervisor needs. */
export function headline(batch: Batch, tally: Tally): string {
  const needs = tally.needYou === 0 ? '' : `; ${tally.needYou} ${tally.needYou === 1 ? 'needs' : 'need'} you`;
  const judged = tally.files - tally.count.unjudged;
  const fit =
    judged === 0
      ? 'No file could be judged'
      : `${tally.fit} of ${judged} ${judged === 1 ? 'file' : 'files'} fit to use`;
  if (batch.state === 'finished' && tally.waitingClips === 0) return `${fit}${needs}.`;
  const done = batch.clips.filter((clip) => clip.state === 'done').length;
  const state = batch.state === 'running' ? 'Still running' : 'Stopped before the end';
  return `${state}: ${done} of ${batch.clips.length} clips done. So far ${fit.charAt(0).toLowerCase()}${fit.slice(1)}${needs}.`;
}

/** The same sentence for one file, held against its targets. */
export function fileHeadline(judged: readonly ReportFile[]): string {
  const [only] = judged;
  if (only === undefined) return 'Measured. No target asks anything of it.';
  if (judged.length > 1) {
    const fit = judged.filter(({ standing }) => standing === 'pass' || standing === 'warn').length;
    const rest = judged.length - fit;
    if (fit === 0) return `Not fit for any of ${judged.length} targets.`;
    if (rest === 0) return `Fit for all ${judged.length} targets.`;
    return `Fit for ${fit} of ${judged.length} targets; ${rest} ${rest === 1 ? 'needs' : 'need'} you.`;
  }
  const findings = only.verdict?.findings ?? [];
  const open = findings.filter(({ waiver }) => waiver === null);
  const withOutcome = (outcome: Outcome) => open.filter((finding) => finding.outcome === outcome).length;
  const [failed, unmeasured, warned] = [withOutcome('fail'), withOutcome('unmeasured'), withOutcome('warn')];
  const because = list([
    failed > 0 && `${failed} ${failed === 1 ? 'requirement is' : 'requirements are'} not met`,
    unmeasured > 0 && `${count(unmeasured, 'requirement')} could not be measured`,
  ]);
  if (only.standing === 'fail') return `Not fit to use${because === '' ? '' : `: ${because}`}.`;
  if (only.standing === 'unmeasured')
    return `Unmeasured: ${only.verdict === null ? 'its verdict cannot be read' : because}.`;
  const waived = findings.length - open.length;
  const notes = list([warned > 0 && count(warned, 'warning'), waived > 0 && count(waived, 'waived finding')]);
  return notes === '' ? 'Fit to use.' : `Fit to use, with ${notes}.`;
}

function list(parts: readonly (string | false)[]): string {
  return parts.filter((part) => part !== false).join(', ');
}
