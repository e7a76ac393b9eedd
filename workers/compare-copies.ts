import type { Measurement } from '../jobs/measurement/measurement.js';
import type { ClipJobData } from '../jobs/queue/messages.js';
import { keepDocument } from './batch/documents.js';
import { below, measurementFile, originalMeasurementFile } from './batch/folder.js';
import type { ClipContext, Site } from './clip-context.js';
import type { Work } from './clip-work.js';
import {
  compareMeasured,
  isComparisonMissing,
  type MadeFrom,
  type MeasuredCopy,
} from './compare/compare-measured.js';

/** What a copy is compared with, and how it was made of it where that is known. */
export interface CopyOf {
  readonly original: Measurement;
  readonly madeFrom: MadeFrom;
}

/**
 * Compares each copy whose target asks for it with its original, unless an earlier run did: the outputs of
 * the job with its clip, and the clip with what it was made from.
 */
export async function compareCopies(
  { job, out }: ClipJobData,
  work: Work,
  site: Site,
  context: ClipContext,
  copyOf: CopyOf | undefined,
): Promise<void> {
  const { clip } = job;
  const keep = async (file: string, copy: MeasuredCopy, madeFrom: MadeFrom) => {
    const compared = await compareMeasured(copy, madeFrom, site, context);
    await work.lock.requireHeld();
    return keepDocument(out, file, compared);
  };
  const { original } = work;
  if (original === null) return;
  const own = job.judge.map(({ require }) => require);
  if (copyOf !== undefined && isComparisonMissing(original.document, own)) {
    const copy = { path: clip.path, measured: original.document, colour: clip.colour };
    work.original = await keep(originalMeasurementFile(clip.name), copy, copyOf.madeFrom);
  }
  for (const { key, path, require, recipe } of job.outputs) {
    const kept = work.measured.get(key);
    if (kept === undefined || !isComparisonMissing(kept.document, [require])) continue;
    const frames = original.document.video?.frames ?? 0;
    const file = { path: clip.path, facts: clip.facts, colour: recipe.sourceColour, frames };
    const copy = { path: below(out, path), measured: kept.document, colour: recipe.colour };
    work.measured.set(key, await keep(measurementFile(path), copy, { file, recipe }));
  }
}
