import { open, rename } from 'node:fs/promises';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import type { PlannedOutput } from '../../jobs/plan/plan.js';
import { below, measurementFile } from '../batch/folder.js';
import { writeRecord } from '../batch/record.js';
import { writeFailure, writeJson } from '../batch/write-whole.js';
import type { ClipContext, Site } from '../clip-context.js';
import { measureOnSite } from '../measure-on-site.js';

/** On the disk before it has its name: a power cut leaves either no output or a whole one. */
async function giveName(from: string, to: string): Promise<void> {
  try {
    const file = await open(from, 'r+');
    try {
      await file.sync();
    } finally {
      await file.close();
    }
    await rename(from, to);
  } catch (error) {
    throw writeFailure(to, error);
  }
}

/**
 * Measures an output that was just made, records that it is done and gives it its name, in this order: what has a
 * name is complete and measured.
 *
 * @throws GoodgateError `interrupted`, `measure-failed`, `unreadable-clip` (the file made cannot be read back),
 * `disk-full`, `cannot-write`.
 */
export async function finishOutput(
  out: string,
  output: PlannedOutput,
  temporaryPath: string,
  site: Site,
  context: ClipContext,
  onProgress: (fraction: number) => void,
): Promise<Measurement> {
  const measured = await measureOnSite(
    { path: temporaryPath, name: output.path, colour: output.recipe.colour },
    site,
    context,
    onProgress,
  );
  const absolute = below(out, output.path);
  const measurement: Measurement = { ...measured, file: { ...measured.file, path: absolute } };
  const file = measurementFile(output.path);
  await writeJson(below(out, file), measurement);
  // The record comes before the name: it holds size and time, which a rename keeps, so it proves nothing until the
  // file is there; the other way round a kill in between would have a whole output made again.
  await writeRecord(out, { key: output.key, path: output.path, absolute: temporaryPath, measurement: file });
  await giveName(temporaryPath, absolute);
  return measurement;
}
