import { open, rename } from 'node:fs/promises';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import type { PlannedOutput } from '../../jobs/plan/plan.js';
import { type Kept, keepDocument, provenMeasurement } from '../batch/documents.js';
import { below, measurementFile } from '../batch/folder.js';
import type { Lock } from '../batch/lock.js';
import { writeFailure } from '../batch/write-whole.js';
import type { ClipContext, Site } from '../clip-context.js';
import { fileChanged } from '../file/file-state.js';
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

/** An output that was just made, and where it stands for now. */
export interface MadeOutput {
  readonly out: string;
  readonly output: PlannedOutput;
  readonly temporaryPath: string;
  /** Of the output: it gets its name only while this is held. */
  readonly lock: Lock;
}

/**
 * Measures an output that was just made, writes the measurement and gives the output its name, in this order:
 * what has a name is complete and measured. Killed in between, the measurement is of no file that has the
 * name, and proves nothing: the other way round a whole output would be made again.
 *
 * @throws GoodgateError `interrupted`, `measure-failed`, `unreadable-clip` (the file made cannot be read
 * back), `file-changed`, `folder-busy` (the lock was lost), `disk-full`, `cannot-write`.
 */
export async function finishOutput(
  { out, output, temporaryPath, lock }: MadeOutput,
  site: Site,
  context: ClipContext,
  onProgress: (fraction: number) => void,
): Promise<Kept<Measurement>> {
  const { key, path: name } = output;
  const measured = await measureOnSite(
    { path: temporaryPath, name, key, colour: output.recipe.colour },
    site,
    context,
    onProgress,
  );
  await lock.requireHeld();
  const path = below(out, name);
  const file = measurementFile(name);
  const kept = await keepDocument<Measurement>(out, file, { ...measured, file: { ...measured.file, path } });
  context.log.debug({ output: name, measurement: file }, 'output measured');
  await giveName(temporaryPath, path);
  // A rename keeps size, time and bytes: whatever else has the name now is not what was measured.
  if ((await provenMeasurement(out, file, { key, path })) === null) throw fileChanged(path);
  context.log.debug({ output: name }, 'output named');
  return kept;
}
