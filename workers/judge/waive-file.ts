import { createHash } from 'node:crypto';
import { createReadStream } from 'node:fs';
import { stat } from 'node:fs/promises';
import { GoodgateError } from '../../jobs/errors.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import { loadWaivers } from '../../jobs/verdict/load-waivers.js';
import type { Verdict } from '../../jobs/verdict/verdict.js';
import { localDay, type Waiver } from '../../jobs/verdict/waivers.js';
import { applyWaivers, withNotice } from './waive.js';

/** What tells one state of a file from another without reading it. */
export interface FileState {
  readonly size: number;
  /** Whole milliseconds since 1970, as `Date` counts them. */
  readonly modified: number;
}

/** Errors: missing-file. */
export async function fileState(path: string): Promise<FileState> {
  try {
    const { size, mtime } = await stat(path);
    return { size, modified: mtime.getTime() };
  } catch (cause) {
    throw new GoodgateError('missing-file', {
      what: 'the file is not there, or cannot be read',
      where: path,
      next: 'Check the path.',
      cause,
    });
  }
}

export interface HashOptions {
  readonly signal?: AbortSignal | undefined;
  readonly onProgress?: ((fraction: number) => void) | undefined;
}

/** SHA-256 of a file of any size, 64 hex digits, read in pieces. Errors: missing-file, interrupted. */
export async function hashFile(path: string, { signal, onProgress }: HashOptions = {}): Promise<string> {
  const { size } = await fileState(path);
  const hash = createHash('sha256');
  let done = 0;
  try {
    for await (const piece of createReadStream(path, { highWaterMark: 1 << 20, signal })) {
      if (!(piece instanceof Buffer)) continue;
      hash.update(piece);
      done += piece.length;
      onProgress?.(size === 0 ? 1 : Math.min(1, done / size));
    }
  } catch (cause) {
    if (signal?.aborted === true) throw new GoodgateError('interrupted', { what: 'interrupted', cause });
    throw new GoodgateError('missing-file', {
      what: 'the file cannot be read to its end',
      where: path,
      cause,
    });
  }
  return hash.digest('hex');
}

export interface JudgedFile {
  readonly path: string;
  /** The file as it was before it was measured. */
  readonly before: FileState;
  readonly measurement: Measurement | null;
  readonly waivers: readonly Waiver[] | null;
}

/** The verdicts of one file with what people accepted. The file is hashed only when there are waivers. */
export async function waiveVerdicts(
  verdicts: readonly Verdict[],
  { path, before, measurement, waivers }: JudgedFile,
  { now, signal, onProgress }: HashOptions & { readonly now: Date },
): Promise<Verdict[]> {
  if (waivers === null || waivers.length === 0) return [...verdicts];
  const hash = await hashFile(path, { signal, onProgress });
  const after = await fileState(path);
  const same = before.size === after.size && before.modified === after.modified;
  const context = { sha256: same ? hash : null, today: localDay(now), measurement };
  return verdicts.map((verdict) => applyWaivers(verdict, waivers, context));
}

/**
 * The same where many files are judged and nobody waits: a waiver file that cannot be read waives nothing and stops nothing, and the
 * verdict says so. Errors: interrupted.
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
