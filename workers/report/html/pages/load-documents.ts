import { type Measurement, measurement } from '../../../../jobs/measurement/measurement.js';
import type { Batch } from '../../../../jobs/plan/batch.js';
import { builtInTargets } from '../../../../jobs/targets/load-target.js';
import { type Verdict, verdict } from '../../../../jobs/verdict/verdict.js';
import { originalMeasurementFile } from '../../../batch/folder.js';
import { readDocument } from '../../../batch/read-document.js';
import type { Stills } from '../../stills/still.js';

/** What a report shows beside `batch.json`. A document that is missing or damaged is simply not in its map. */
export interface ReportDocuments {
  /** By path below the batch folder. */
  readonly measurements: ReadonlyMap<string, Measurement>;
  readonly verdicts: ReadonlyMap<string, Verdict>;
  /** What was measured of each clip itself, by the clip's name. */
  readonly originals: ReadonlyMap<string, Measurement>;
  /** Targets a command can name without saying where they stand. */
  readonly builtInTargets: ReadonlySet<string>;
  /** Pictures of the places findings speak of. */
  readonly stills: Stills;
}

/** Files read at once: enough to keep a disk busy, few enough for any limit on open files. */
const AT_ONCE = 16;

/**
 * Reads every measurement and verdict a batch names. Never throws on a missing or damaged document: the report
 * says of that file that it has none.
 *
 * @param resolve a path below the batch folder to the path on this machine
 */
export async function loadReportDocuments(
  batch: Batch,
  resolve: (file: string) => string,
): Promise<ReportDocuments> {
  const measurements = new Map<string, Measurement>();
  const verdicts = new Map<string, Verdict>();
  const originals = new Map<string, Measurement>();
  const reads: (() => Promise<void>)[] = [];
  for (const clip of batch.clips) {
    reads.push(async () => {
      const read = await readDocument(resolve(originalMeasurementFile(clip.name)), measurement);
      if (read) originals.set(clip.name, read);
    });
    for (const item of clip.items) {
      const { measurement: measured, verdict: judged } = item;
      if (measured !== null) {
        reads.push(async () => {
          const read = await readDocument(resolve(measured), measurement);
          if (read) measurements.set(measured, read);
        });
      }
      if (judged !== null) {
        reads.push(async () => {
          const read = await readDocument(resolve(judged), verdict);
          if (read) verdicts.set(judged, read);
        });
      }
    }
  }
  const worker = async () => {
    for (let next = reads.shift(); next !== undefined; next = reads.shift()) await next();
  };
  await Promise.all(Array.from({ length: AT_ONCE }, worker));
  const builtIn = await builtInTargets();
  return {
    measurements,
    verdicts,
    originals,
    builtInTargets: new Set(builtIn.map((target) => target.name)),
    stills: new Map(),
  };
}
