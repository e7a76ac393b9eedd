import type { z } from 'zod';
import { type Measurement, measurement } from '../../../../jobs/measurement/measurement.js';
import type { Batch } from '../../../../jobs/plan/batch.js';
import { type Verdict, verdict } from '../../../../jobs/verdict/verdict.js';
import { atOnce } from '../../../at-once.js';
import { readDocumentOf } from '../../../batch/documents.js';
import type { Stills } from '../../stills/still.js';
import { type PlannedFiles, type ReportSources, reportSources } from '../commands.js';

/**
 * What a report shows beside `batch.json`. A document that is missing or damaged is simply not in its map.
 */
export interface ReportDocuments {
  /** By path below the batch folder. */
  readonly measurements: ReadonlyMap<string, Measurement>;
  readonly verdicts: ReadonlyMap<string, Verdict>;
  /** What was measured of each clip itself, by the clip's name. */
  readonly originals: ReadonlyMap<string, Measurement>;
  /** What the commands of a report name. */
  readonly sources: ReportSources;
  /** Lists of markers that were written, by path below the batch folder. */
  readonly markers: ReadonlySet<string>;
  /** Pictures of the places findings speak of. */
  readonly stills: Stills;
}

/** Files read at once: enough to keep a disk busy, few enough for any limit on open files. */
const MOST_AT_ONCE = 16;

/**
 * Reads every measurement and verdict a batch names, by name and digest. Never throws on a document that is
 * missing, damaged or another by now: the report says of that file that it has none.
 *
 * @param out the batch folder
 * @param planned where its files lie; null: its commands name them by what the batch itself knows
 */
export async function loadReportDocuments(
  batch: Batch,
  out: string,
  planned: PlannedFiles | null = null,
): Promise<ReportDocuments> {
  const measurements = new Map<string, Measurement>();
  const verdicts = new Map<string, Verdict>();
  const originals = new Map<string, Measurement>();
  const reads: (() => Promise<void>)[] = [];
  for (const clip of batch.clips) {
    reads.push(async () => {
      const read = clip.original && (await readDocumentOf(out, clip.original, measurement));
      if (read) originals.set(clip.name, read);
    });
    for (const { measurement: measured, verdict: judged, sha256 } of clip.items) {
      reads.push(async () => {
        const read = await readItemDocument(out, measured, sha256.measurement, measurement);
        if (measured !== null && read) measurements.set(measured, read);
      });
      reads.push(async () => {
        const read = await readItemDocument(out, judged, sha256.verdict, verdict);
        if (judged !== null && read) verdicts.set(judged, read);
      });
    }
  }
  await atOnce(MOST_AT_ONCE, reads, (read) => read());
  return {
    measurements,
    verdicts,
    originals,
    sources: reportSources(out, planned),
    markers: new Set(),
    stills: new Map(),
  };
}

async function readItemDocument<T>(
  out: string,
  file: string | null,
  sha256: string | null,
  schema: z.ZodType<T>,
): Promise<T | null> {
  return file === null || sha256 === null ? null : readDocumentOf(out, { file, sha256 }, schema);
}
