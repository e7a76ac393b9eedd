import type { Measurement } from '../jobs/measurement/measurement.js';
import type { PlannedOutput } from '../jobs/plan/plan.js';
import type { ClipJobData } from '../jobs/queue/messages.js';
import { type Kept, provenMeasurement } from './batch/documents.js';
import { below, measurementFile, originalMeasurementFile } from './batch/folder.js';
import type { Lock } from './batch/lock.js';
import type { SeenFrames } from './compare/order/seen-frames.js';
import { StageTimes } from './stage-times.js';

/** What is there of one clip while it is worked on, and what is to be made. */
export interface Work {
  readonly lock: Lock;
  readonly missing: readonly PlannedOutput[];
  readonly measured: Map<string, Kept<Measurement>>;
  original: Kept<Measurement> | null;
  /** Frames of what this very work measured: by the key of an output, the clip's by its own key. */
  readonly frames: Map<string, SeenFrames | null>;
  readonly times: StageTimes;
}

/** What an earlier run left whole need not be done again. */
export async function findDone({ job, out }: ClipJobData, lock: Lock, anew: boolean): Promise<Work> {
  const measured = new Map<string, Kept<Measurement>>();
  for (const { key, path } of job.outputs) {
    const proven = await provenMeasurement(out, measurementFile(path), { key, path: below(out, path) });
    if (proven !== null) measured.set(key, proven);
  }
  const file = originalMeasurementFile(job.clip.name);
  const clip = { key: job.clipKey, path: job.clip.path };
  return {
    lock,
    missing: job.outputs.filter((output) => !measured.has(output.key)),
    measured,
    frames: new Map(),
    original: anew ? null : await provenMeasurement(out, file, clip),
    times: new StageTimes(),
  };
}
