import { rm } from 'node:fs/promises';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import type { Batch } from '../../jobs/plan/batch.js';
import type { Verdict } from '../../jobs/verdict/verdict.js';
import { below, FINDINGS_FILE, markersFile, originalMarkersFile } from '../batch/folder.js';
import { writeWhole } from '../batch/write-whole.js';
import { formatFindingsCsv, type WithoutFindings } from './findings-csv.js';
import { formatMarkers } from './markers-edl.js';
import { SINCE_WORDS } from './summary/since.js';
import { undoneOf } from './summary/undone.js';

/** The documents of a batch, by path below its folder. */
export interface JudgedDocuments {
  readonly measurements: ReadonlyMap<string, Measurement>;
  readonly verdicts: ReadonlyMap<string, Verdict>;
}

export interface WrittenFindings {
  /** Lists of markers, by path below the batch folder. */
  readonly marked: ReadonlySet<string>;
  readonly unmarked: readonly { readonly file: string; readonly reason: string }[];
}

/**
 * Writes `findings.csv` and, for each file with places to look at, its markers. Markers of an earlier time
 * that have nothing to mark any more are taken away.
 *
 * @returns which lists of markers were written, and files whose places cannot be, with the reason
 * @throws GoodgateError `disk-full`, `cannot-write`
 */
export async function writeFindings(
  out: string,
  batch: Batch,
  { measurements, verdicts }: JudgedDocuments,
): Promise<WrittenFindings> {
  const judged = new Map<string, { measurement: Measurement | null; verdicts: Verdict[] }>();
  const notAsJudged: WithoutFindings[] = [];
  for (const { name, items } of batch.clips) {
    for (const item of items) {
      if (item.since !== null) {
        const clip = item.kind === 'original' ? name : item.path;
        notAsJudged.push({ kind: 'unmeasured', clip, target: item.target, ...SINCE_WORDS[item.since] });
        continue;
      }
      const verdict = item.verdict === null ? undefined : verdicts.get(item.verdict);
      if (verdict === undefined) continue;
      const file = item.kind === 'original' ? originalMarkersFile(name) : markersFile(item.path);
      const measurement = item.measurement === null ? null : (measurements.get(item.measurement) ?? null);
      const known = judged.get(file);
      if (known === undefined) judged.set(file, { measurement, verdicts: [verdict] });
      else known.verdicts.push(verdict);
    }
  }
  const all = [...judged.values()].flatMap((file) => file.verdicts);
  await writeWhole(below(out, FINDINGS_FILE), formatFindingsCsv(all, [...undoneOf(batch), ...notAsJudged]));
  const unmarked: { file: string; reason: string }[] = [];
  const marked = new Set<string>();
  for (const [file, one] of judged) {
    const list = one.measurement === null ? null : formatMarkers(one.verdicts, one.measurement);
    const path = below(out, file);
    if (list !== null && list.places > 0 && list.text !== null) {
      await writeWhole(path, list.text);
      marked.add(file);
      continue;
    }
    await rm(path, { force: true });
    if (list !== null && list.places > 0 && list.reason !== null) {
      unmarked.push({ file: one.measurement?.file.path ?? file, reason: list.reason });
    }
  }
  return { marked, unmarked };
}
