import { randomBytes } from 'node:crypto';
import { open, rename, rm } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import type { PlannedOutput } from '../../jobs/plan/plan.js';
import { foundMeasurement, type Kept, keepAsNow, keepDocument } from '../batch/documents.js';
import { below, measurementFile, wholeOf } from '../batch/folder.js';
import type { Lock } from '../batch/lock.js';
import { errnoOf, writeFailure } from '../batch/write-whole.js';
import type { ClipContext, Site } from '../clip-context.js';
import type { SeenFrames } from '../compare/order/seen-frames.js';
import { filesOf } from '../file/clip-files.js';
import { fileChanged } from '../file/file-state.js';
import type { KeepFrames } from '../measure/reading/kept-frames.js';
import { measureOnSite } from '../measure-on-site.js';

/** Flushed to disk before it is renamed: after a power cut there is either no output or a complete one. */
async function renameOutput(from: string, to: string): Promise<void> {
  try {
    for (const path of await filesOf(from)) await flush(path);
    if (wholeOf(from) !== from) await putAside(wholeOf(to));
    await rename(wholeOf(from), wholeOf(to));
  } catch (error) {
    throw writeFailure(to, error);
  }
}

async function flush(path: string): Promise<void> {
  const file = await open(path, 'r+');
  try {
    await file.sync();
  } finally {
    await file.close();
  }
}

/** A folder is not replaced by a rename: an older one goes first, under a name that `sweep` knows. */
async function putAside(folder: string): Promise<void> {
  const name = `.${basename(folder)}.${randomBytes(6).toString('hex')}.tmp`;
  const aside = join(dirname(folder), name);
  try {
    await rename(folder, aside);
  } catch (error) {
    if (errnoOf(error) === 'ENOENT') return;
    throw error;
  }
  await rm(aside, { recursive: true, force: true }).catch(() => undefined);
}

/** An output that was just made, and its temporary path. */
export interface MadeOutput {
  readonly out: string;
  readonly output: PlannedOutput;
  readonly temporaryPath: string;
  /** Of the output: it gets its name only while this is held. */
  readonly lock: Lock;
  /** As of `measureOnSite`. */
  readonly onFrames?: ((frames: SeenFrames | null) => void) | undefined;
  readonly keep?: KeepFrames | undefined;
}

/**
 * Measures an output that was just made, writes the measurement and then renames the output, so that an
 * output with its final name is complete and measured. If it is killed in between, the measurement matches no
 * file and is ignored; or the rename shows as a change, and the output is measured once more.
 *
 * @throws GoodgateError `interrupted`, `measure-failed`, `unreadable-clip` (the output cannot be read),
 * `file-changed`, `folder-busy` (the lock was lost), `disk-full`, `cannot-write`.
 */
export async function finishOutput(
  { out, output, temporaryPath, lock, onFrames, keep }: MadeOutput,
  site: Site,
  context: ClipContext,
  onProgress: (fraction: number) => void,
): Promise<Kept<Measurement>> {
  const { key, path: name } = output;
  const measured = await measureOnSite(
    { path: temporaryPath, name, key, colour: output.recipe.colour, onFrames, keep },
    site,
    context,
    onProgress,
  );
  await lock.requireHeld();
  const path = below(out, name);
  const file = measurementFile(name);
  await keepDocument<Measurement>(out, file, { ...measured, file: { ...measured.file, path } });
  context.log.debug({ output: name, measurement: file }, 'output measured');
  await renameOutput(temporaryPath, path);
  // A rename keeps size, time and bytes: if they differ, another file was put there.
  const found = await foundMeasurement(out, file, { key, path });
  if (found === null) throw fileChanged(path);
  const kept = await keepAsNow(out, found);
  context.log.debug({ output: name }, 'output named');
  return kept;
}
