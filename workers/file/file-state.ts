import type { BigIntStats, Stats } from 'node:fs';
import { type FileHandle, open, stat } from 'node:fs/promises';
import { GoodgateError } from '../../jobs/errors.js';
import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import { filesOf, isManyFiles } from './clip-files.js';
import { sampleDigest } from './hash-file.js';
import { identityOfFiles, marksOf, stateOfFiles } from './many-files.js';

/**
 * State of a file without reading it: size in bytes and time of last change (ISO 8601, milliseconds).
 */
export type FileState = Pick<ClipFacts, 'bytes' | 'modified'>;

/** Identifies a file among others of the same name, size and time. */
export type FileIdentity = Omit<Measurement['file'], 'path' | 'hash'>;

export function isSameState(a: FileState, b: FileState): boolean {
  return a.bytes === b.bytes && a.modified === b.modified;
}

/** Of a take in parts and a picture sequence the state of all files together. Errors: missing-file. */
export async function fileState(path: string): Promise<FileState> {
  try {
    if (isManyFiles(path)) return await stateOfFiles(await filesOf(path));
    return stateOf(await stat(path));
  } catch (cause) {
    if (cause instanceof GoodgateError) throw cause;
    throw new GoodgateError('missing-file', {
      what: 'the file is not there, or cannot be accessed',
      where: path,
      next: 'check the path, and that its card or volume is mounted here',
      cause,
    });
  }
}

/**
 * Refuses a file that changed since it was scanned: facts, estimates and keys no longer apply to it.
 *
 * @throws GoodgateError `missing-file`, `clip-changed`.
 */
export async function requireUnchanged(path: string, before: FileState): Promise<void> {
  const now = await fileState(path);
  if (isSameState(now, before)) return;
  throw new GoodgateError('clip-changed', {
    what: `the clip changed since it was scanned (${before.bytes} bytes then, ${now.bytes} now)`,
    where: path,
    next: 'let the copy finish, then scan and run again',
  });
}

/**
 * Identity of the file as it is now; null where there is none. Without the inode, which on cards and network
 * volumes changes with every mount.
 */
export async function identityOf(path: string): Promise<FileIdentity | null> {
  let file: FileHandle | null = null;
  try {
    if (isManyFiles(path)) return await identityOfFiles(await filesOf(path));
    file = await open(path);
    const found = await file.stat();
    return found.isFile() ? await identify(file) : null;
  } catch {
    return null;
  } finally {
    await file?.close();
  }
}

/**
 * State of a file with the time of its last change of any kind, which no program can put back; null where
 * there is none. Opened, since a network file system then asks its server.
 */
export async function changeOf(path: string): Promise<Omit<FileIdentity, 'digest'> | null> {
  let file: FileHandle | null = null;
  try {
    if (isManyFiles(path)) return await stateOfFiles(await filesOf(path));
    file = await open(path);
    const found = await file.stat();
    return found.isFile() ? { ...stateOf(found), changed: found.ctime.toISOString() } : null;
  } catch {
    return null;
  } finally {
    await file?.close();
  }
}

async function identify(file: FileHandle): Promise<FileIdentity> {
  const found = await file.stat();
  const digest = await sampleDigest(file, found.size);
  return { ...stateOf(found), changed: found.ctime.toISOString(), digest };
}

/** From plain numbers: those of `bigint` truncate milliseconds where these round. */
function stateOf({ size, mtime }: Stats): FileState {
  return { bytes: size, modified: mtime.toISOString() };
}

/**
 * Runs work that reads a file, and checks that the file did not change meanwhile. The file is kept open: its
 * inode cannot be reused, and keeps its number on volumes that generate inode numbers.
 *
 * The ctime is compared too: a copy over the file that keeps the times of its source leaves size and
 * modification time unchanged. So a change of owner or mode counts as a change as well.
 *
 * @param work gets the state of the file at the start
 * @throws GoodgateError `missing-file` where the file cannot be opened, `file-changed`; any error of `work`
 * if the file did not change.
 */
export async function whileUnchanged<T>(
  path: string,
  work: (before: FileState) => Promise<T>,
): Promise<{ readonly result: T; readonly file: FileIdentity }> {
  if (isManyFiles(path)) return whileAllUnchanged(path, work);
  const file = await openFile(path);
  try {
    const before = await file.stat({ bigint: true });
    const isSame = async (): Promise<boolean> =>
      isUntouched(
        before,
        await file.stat({ bigint: true }),
        await stat(path, { bigint: true }).catch(() => null),
      );
    let result: T;
    let identity: FileIdentity;
    try {
      result = await work(stateOf(await file.stat()));
      identity = await identify(file);
    } catch (error) {
      // Errors while a file changes say nothing about it.
      if (isInterrupt(error) || (await isSame())) throw error;
      throw fileChanged(path, error);
    }
    if (await isSame()) return { result, file: identity };
    throw fileChanged(path);
  } finally {
    await file.close();
  }
}

/** The same for all files of a take or a picture sequence: none may change, be added or go. */
async function whileAllUnchanged<T>(
  path: string,
  work: (before: FileState) => Promise<T>,
): Promise<{ readonly result: T; readonly file: FileIdentity }> {
  const files = await filesOf(path);
  const before = await marksOf(files);
  const isSame = async (): Promise<boolean> => {
    const now = await filesOf(path).catch(() => []);
    return (await marksOf(now).catch(() => '')) === before;
  };
  let result: T;
  let identity: FileIdentity;
  try {
    result = await work(await stateOfFiles(files));
    identity = await identityOfFiles(files);
  } catch (error) {
    if (isInterrupt(error) || (await isSame())) throw error;
    throw fileChanged(path, error);
  }
  if (await isSame()) return { result, file: identity };
  throw fileChanged(path);
}

/** @param atPath the file that has the path now; null when there is none */
function isUntouched(before: BigIntStats, held: BigIntStats, atPath: BigIntStats | null): boolean {
  const isAsItWas =
    held.size === before.size && held.mtimeNs === before.mtimeNs && held.ctimeNs === before.ctimeNs;
  return isAsItWas && atPath !== null && atPath.ino === held.ino && atPath.dev === held.dev;
}

/**
 * @throws GoodgateError `file-changed` where the file changed between the first look and its opening
 */
export function requireSameState(path: string, looked: FileState, held: FileState): void {
  if (!isSameState(looked, held)) throw fileChanged(path);
}

export function fileChanged(path: string, cause?: unknown): GoodgateError {
  return new GoodgateError('file-changed', {
    what: 'the file changed, or was replaced, while it was read',
    where: path,
    next: 'wait until the file is finished, then try again',
    cause,
  });
}

function isInterrupt(error: unknown): boolean {
  return error instanceof GoodgateError && error.code === 'interrupted';
}

async function openFile(path: string): Promise<FileHandle> {
  try {
    return await open(path);
  } catch (cause) {
    throw new GoodgateError('missing-file', {
      what: `the file cannot be opened (${cause instanceof Error ? cause.message : String(cause)})`,
      where: path,
      next: 'check the path, and that you may read it',
      cause,
    });
  }
}
