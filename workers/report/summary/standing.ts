import type { Measurement } from '../../../jobs/measurement/measurement.js';
import type { Batch, BatchClip, BatchItem } from '../../../jobs/plan/batch.js';
import type { Verdict } from '../../../jobs/verdict/verdict.js';

/**
 * How a file stands. `unmeasured`: nothing failed, but a requirement could not be measured, the verdict is
 * lost, or the file is not the one it was, so nobody can say that it is fit. `unjudged`: no target asked
 * anything of it.
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

/** How a file stands by its verdict alone: its word, with what is unmeasured apart from what warns. */
export function standingOfVerdict({ verdict, findings }: Verdict): 'fail' | 'unmeasured' | 'warn' | 'pass' {
  if (verdict === 'fail') return 'fail';
  const isOpen = findings.some(({ outcome, waiver }) => outcome === 'unmeasured' && waiver === null);
  return isOpen ? 'unmeasured' : verdict;
}

function standingOf(item: BatchItem, verdict: Verdict | null): Standing {
  // What was measured is not what lies there, good or bad.
  if (item.since !== null) return 'unmeasured';
  if (item.word === 'fail') return 'fail';
  if (item.word === null) return item.target === null ? 'unjudged' : 'unmeasured';
  // A word without the findings behind it cannot be checked by the reader: the file is measured again, not
  // believed.
  if (verdict === null) return 'unmeasured';
  const standing = standingOfVerdict(verdict);
  return standing === 'pass' ? item.word : standing;
}

/** Every file of a batch with its documents, in the order of the batch. */
export function reportFiles(
  batch: Batch,
  documents: {
    readonly measurements: ReadonlyMap<string, Measurement>;
    readonly verdicts: ReadonlyMap<string, Verdict>;
  },
): ReportFile[] {
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

/** People know an original by its name on the card, an output by its path in the batch. */
export function fileName({ item, clip }: Pick<ReportFile, 'item' | 'clip'>): string {
  return item.kind === 'original' ? clip.name : item.path;
}
