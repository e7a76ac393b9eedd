import { isDeepStrictEqual } from 'node:util';
import { GoodgateError } from '../jobs/errors.js';
import { type Measurement, measurement } from '../jobs/measurement/measurement.js';
import type { BatchClip } from '../jobs/plan/batch.js';
import type { PlannedOutput } from '../jobs/plan/plan.js';
import type { ClipJobData } from '../jobs/queue/messages.js';
import { type BytesBefore, bytesBefore } from './batch/bytes-before.js';
import { foundMeasurement, type Kept, keepAsNow, provenMeasurement } from './batch/documents.js';
import { below, measurementFile, originalMeasurementFile } from './batch/folder.js';
import type { Lock } from './batch/lock.js';
import type { ClipContext, Site } from './clip-context.js';
import type { SeenFrames } from './compare/order/seen-frames.js';
import { KeptSamples } from './compare/sampling/kept-samples.js';
import { measureOnSite } from './measure-on-site.js';
import { StageTimes } from './stage-times.js';

/** What is there of one clip while it is worked on, and what is to be made. */
export interface Work {
  readonly lock: Lock;
  readonly missing: readonly PlannedOutput[];
  readonly measured: Map<string, Kept<Measurement>>;
  original: Kept<Measurement> | null;
  /** Nothing has to be made or measured, and nothing was to find that out. */
  readonly wasThere: boolean;
  /** Frames of what this very work measured: by the key of an output, the clip's by its own key. */
  readonly frames: Map<string, SeenFrames | null>;
  /** Frames of it that are kept to be compared. */
  readonly kept: KeptSamples;
  readonly times: StageTimes;
  /** What an earlier run recorded of the bytes of the clip. */
  readonly before: BytesBefore | null;
  /** How those it has now stand to it; null until they were read. */
  bytesAsBefore: BatchClip['bytesAsBefore'];
}

/**
 * What an earlier run left whole need not be done again. An output that was touched since is measured once
 * more: with the same figures it is the file that was made, else it is made again.
 *
 * @throws GoodgateError as `measureOnSite`, `disk-full`, `cannot-write`.
 */
export async function findDone(
  { job, out }: ClipJobData,
  { lock, anew }: { readonly lock: Lock; readonly anew: boolean },
  site: Site,
  context: ClipContext,
): Promise<Work> {
  const measured = new Map<string, Kept<Measurement>>();
  const times = new StageTimes();
  let isUntouched = true;
  for (const output of job.outputs) {
    const { key } = output;
    const path = below(out, output.path);
    const found = await foundMeasurement(out, measurementFile(output.path), { key, path });
    if (found === null) continue;
    if (!found.isTouched) {
      measured.set(key, found);
      continue;
    }
    isUntouched = false;
    const isSame = await times.during('measure', () =>
      isAsMeasured(path, output, found.document, site, context),
    );
    context.log.info({ output: output.path, isSame }, 'touched since it was judged: measured again');
    await lock.requireHeld();
    if (isSame) measured.set(key, await keepAsNow(out, found));
  }
  const file = originalMeasurementFile(job.clip.name);
  const clip = { key: job.clipKey, path: job.clip.path };
  const missing = job.outputs.filter((output) => !measured.has(output.key));
  const original = anew ? null : await provenMeasurement(out, file, clip);
  return {
    ...{ lock, missing, measured, original, times },
    wasThere: missing.length === 0 && original !== null && isUntouched,
    ...{ frames: new Map(), kept: new KeptSamples() },
    before: await bytesBefore(out, job.clip.name),
    bytesAsBefore: null,
  };
}

/** Whether an output still gives the very figures that were measured of it. */
async function isAsMeasured(
  path: string,
  { key, path: name, recipe }: PlannedOutput,
  before: Measurement,
  site: Site,
  context: ClipContext,
): Promise<boolean> {
  try {
    const file = { path, name, key, colour: recipe.colour };
    const now = await measureOnSite(file, site, context, (fraction) =>
      context.progress({ stage: 'measure', fraction, detail: name }),
    );
    // As it would be read from its document: what JSON does not hold is not compared.
    return isDeepStrictEqual(
      ownFigures(measurement.parse(JSON.parse(JSON.stringify(now)))),
      ownFigures(before),
    );
  } catch (error) {
    // It was read when it was made: it is another file now.
    if (error instanceof GoodgateError && error.code === 'unreadable-clip') return false;
    throw error;
  }
}

/** Figures of the file by itself: those beside its original were added later. */
function ownFigures(measured: Measurement): object {
  const { file, comparison, frameOrder, soundComparison, unmeasured, ...own } = measured;
  return own;
}
