import type { Batch } from '../../jobs/plan/batch.js';
import { verdictExitCode } from '../../workers/judge/exit-code.js';
import type { ReportDocuments } from '../../workers/report/html/pages/load-documents.js';

/**
 * The exit code of a batch: what its verdicts say, and 3 when nothing failed but something could not be done,
 * read or planned.
 */
export function batchExitCode(batch: Batch, documents: ReportDocuments, strict: boolean): number {
  const items = batch.clips.flatMap((clip) => clip.items);
  // What is gone or was changed is not what its verdict speaks of.
  const judged = items.filter(({ since }) => since === null);
  const verdicts = judged.flatMap(({ verdict }) => documents.verdicts.get(verdict ?? '') ?? []);
  const code = verdicts.length === 0 ? 0 : verdictExitCode(verdicts, { strict });
  if (code === 1) return 1;
  const undone =
    batch.refused.length +
    batch.unreadable.length +
    batch.clips.filter((clip) => clip.state !== 'done').length +
    (items.length - judged.length) +
    judged.filter((item) => item.verdict !== null && !documents.verdicts.has(item.verdict)).length;
  return undone > 0 ? 3 : code;
}
