import type { BigIntStats, Stats } from 'node:fs';
import { type FileHandle, open, stat } from 'node:fs/promises';
import { GoodgateError } from '../../jobs/errors.js';
import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import { sampleDigest } from './hash-file.js';

/**
 * What tells one state of a file from another without reading it: size in bytes, time of last change (ISO
 * 8601, milliseconds).
 */
export type FileState = Pick<ClipFacts, 'bytes' | 'modified'>;

/** What tells a file from any other of its name, size and time. */
export type FileIdentity = Omit<Measurement['file'], 'path'>;

export function isSameState(a: FileState, b: FileState): boolean {
  return a.bytes === b.bytes && a.modified === b.modified;
}

/** Errors: missing-file. */
export async function fileState(path: string): Promise<FileState> {
  try {
    return stateOf(await stat(path));
  } catch (cause) {
    throw new GoodgateError('missing-file', {
      what: 'the file is not there, or cannot be looked at',
      where: path,
      next: 'check the path, and that its card or volume is mounted here',
      cause,
    });
  }
}

/**
 * A file that changed since it was looked at is another file: its facts, estimates and keys are not its own.
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
 * Identity of a file as it lies there now; null where there is none. Without the inode: on cards and network
 * volumes it is another after every mount.
 */
export async function identityOf(path: string): Promise<FileIdentity | null> {
  let file: FileHandle | null = null;
  try {
    file = await open(path);
    const found = await file.stat();
    return found.isFile() ? await identify(file) : null;
  } catch {
    return null;
  } finally {
    await file?.close();
  }
}

async function identify(file: FileHandle): Promise<FileIdentity> {
  const state = stateOf(await file.stat());
  return { ...state, digest: await sampleDigest(file, state.bytes) };
}

/** Of plain figures: those of `bigint` cut milliseconds off where these round. */
function stateOf({ size, mtime }: Stats): FileState {
  return { bytes: size, modified: mtime.toISOString() };
}

/**
 * Does work that reads a file, and sees to it that it was one and the same file from before the first byte to
 * after the last. The file is held open meanwhile: its inode cannot be given to another, and keeps its number
 * on volumes that make numbers up.
 *
 * The time of the last change of anything (ctime) is held against, too: a copy that gives its target the
 * times of the source, or copies over the file once more, leaves size and time as they were. So a change of
 * owner or mode counts as one.
 *
 * @param work gets the file's state as it is found
 * @throws GoodgateError `missing-file` where the file cannot be opened, `file-changed`; whatever `work`
 * throws of a file that did not change.
 */
export async function whileUnchanged<T>(
  path: string,
  work: (before: FileState) => Promise<T>,
): Promise<{ readonly result: T; readonly file: FileIdentity }> {
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
      // What a file does to its reader while it changes says nothing of it.
      if (isInterrupt(error) || (await isSame())) throw error;
      throw fileChanged(path, error);
    }
    if (await isSame()) return { result, file: identity };
    throw fileChanged(path);
  } finally {
    await file.close();
  }
}

/** @param atPath the file that has the name now; null when none has */
function isUntouched(before: BigIntStats, held: BigIntStats, atPath: BigIntStats | null): boolean {
  const isAsItWas =
    held.size === before.size && held.mtimeNs === before.mtimeNs && held.ctimeNs === before.ctimeNs;
  return isAsItWas && atPath !== null && atPath.ino === held.ino && atPath.dev === held.dev;
}

/**
 * @throws GoodgateError `file-changed` where the file is not the one that was looked at before it was opened
 */
export function requireSameState(path: string, looked: FileState, held: FileState): void {
  if (!isSameState(looked, held)) throw fileChanged(path);
}

export function fileChanged(path: string, cause?: unknown): GoodgateError {
  return new GoodgateError('file-changed', {
    what: 'the file changed, or was replaced, while it was read',
    where: path,
    next: 'let whatever writes it finish, then do it again',
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
