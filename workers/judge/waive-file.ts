import { GoodgateError } from '../../jobs/errors.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import { loadWaivers } from '../../jobs/verdict/load-waivers.js';
import type { Verdict } from '../../jobs/verdict/verdict.js';
import { localDay, type Waiver } from '../../jobs/verdict/waivers.js';
import { type FileIdentity, type FileState, isSameState, whileUnchanged } from '../file/file-state.js';
import { type HashOptions, hashFile } from '../file/hash-file.js';
import { applyWaivers, withNotice } from './waive.js';

/** State of a file before it was measured, with its digest where that was taken. */
export type FileSeen = FileState & Partial<Pick<FileIdentity, 'digest'>>;

export interface JudgedFile {
  readonly path: string;
  readonly before: FileSeen;
  readonly measurement: Measurement | null;
  readonly waivers: readonly Waiver[] | null;
}

/** The verdicts of one file with its waivers applied. The file is hashed only when there are waivers. */
export async function waiveVerdicts(
  verdicts: readonly Verdict[],
  { path, before, measurement, waivers }: JudgedFile,
  { now, signal, onProgress }: HashOptions & { readonly now: Date },
): Promise<Verdict[]> {
  if (waivers === null || waivers.length === 0) return [...verdicts];
  const hash = await hashOf(path, before, { signal, onProgress });
  const context = { sha256: hash, today: localDay(now), measurement };
  return verdicts.map((verdict) => applyWaivers(verdict, waivers, context));
}

/**
 * Hash of the file that was measured; null where the file has changed since, or changes while it is read.
 * Errors: missing-file, interrupted.
 */
async function hashOf(path: string, before: FileSeen, options: HashOptions): Promise<string | null> {
  try {
    const { result, file } = await whileUnchanged(path, () => hashFile(path, options));
    const isSame = before.digest === undefined || before.digest === file.digest;
    return isSame && isSameState(before, file) ? result : null;
  } catch (error) {
    if (error instanceof GoodgateError && error.code === 'file-changed') return null;
    throw error;
  }
}

/**
 * The same in a batch, which nobody watches: a waiver file that cannot be read does not stop the batch;
 * nothing is waived, and the verdict says so. Errors: interrupted.
 */
export async function waiveInBatch(
  verdicts: readonly Verdict[],
  file: Omit<JudgedFile, 'waivers'>,
  options: HashOptions & { readonly now: Date },
): Promise<Verdict[]> {
  try {
    return await waiveVerdicts(verdicts, { ...file, waivers: await loadWaivers(file.path) }, options);
  } catch (error) {
    if (!(error instanceof GoodgateError) || error.code === 'interrupted') throw error;
    const notice = `the waivers beside the file cannot be read: ${error.message}`;
    return verdicts.map((verdict) => withNotice(verdict, [notice]));
  }
}
