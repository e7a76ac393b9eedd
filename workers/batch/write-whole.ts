import { randomBytes } from 'node:crypto';
import { mkdir, open, rename, rm } from 'node:fs/promises';
import { basename, dirname, join } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';

/** An errno of the file system, read from whatever was thrown. */
export function errnoOf(error: unknown): string | null {
  return error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : null;
}

/** Says what a failed write means to the person who has to mend it. */
export function writeFailure(path: string, error: unknown): GoodgateError {
  if (error instanceof GoodgateError) return error;
  const errno = errnoOf(error);
  if (errno === 'ENOSPC' || errno === 'EDQUOT') {
    return new GoodgateError('disk-full', {
      what: 'no space is left on the disk',
      where: path,
      next: 'free some space or choose another folder with --out, then run it again: what is done stays done',
      cause: error,
    });
  }
  return new GoodgateError('cannot-write', {
    what: `cannot be written: ${error instanceof Error ? error.message : String(error)}`,
    where: path,
    next: 'check that the folder exists on a disk that is mounted and that you may write there',
    cause: error,
  });
}

/**
 * Writes a file so that nobody ever reads half of it: a temporary name beside it, flushed to the disk,
 * renamed. Long texts come in pieces. The folder is made where it is not there.
 *
 * @throws GoodgateError `disk-full`, `cannot-write`.
 */
export async function writeWhole(path: string, text: string | Iterable<string>): Promise<void> {
  await mkdir(dirname(path), { recursive: true }).catch((error: unknown) => {
    throw writeFailure(path, error);
  });
  await replaceFile(path, text);
}

/**
 * As `writeWhole`, in a folder that must be there.
 *
 * @throws GoodgateError `disk-full`, `cannot-write`.
 */
export async function replaceFile(
  path: string,
  content: string | Uint8Array | Iterable<string>,
): Promise<void> {
  // The leading dot and the random part keep it out of listings and away from other writers.
  const temporary = join(
    dirname(path),
    `.${basename(path).slice(0, 100)}.${randomBytes(6).toString('hex')}.tmp`,
  );
  const pieces = typeof content === 'string' || content instanceof Uint8Array ? [content] : content;
  try {
    const file = await open(temporary, 'w');
    try {
      // Writing goes on where the last piece ended.
      for (const piece of pieces) await file.writeFile(piece);
      await file.sync();
    } finally {
      await file.close();
    }
    await rename(temporary, path);
  } catch (error) {
    await rm(temporary, { force: true }).catch(() => undefined);
    throw writeFailure(path, error);
  }
}

/** One JSON document, two-space indented, with a newline at the end; returns its text. */
export async function writeJson(path: string, value: unknown): Promise<string> {
  const text = `${JSON.stringify(value, null, 2)}\n`;
  await writeWhole(path, text);
  return text;
}
