import { lstat } from 'node:fs/promises';
import { loadDocument } from '../documents/load-document.js';
import { GoodgateError } from '../errors.js';
import { type Waiver, waivers, waiversFile } from './waivers.js';

/**
 * The waivers in the file beside a master; null when there is no such file. A link is refused: through one,
 * an error could quote any file of the machine. Errors: bad-document, missing-file.
 */
export async function loadWaivers(master: string): Promise<Waiver[] | null> {
  const file = waiversFile(master);
  if (!(await isThere(file))) return null;
  return (await loadDocument(file, waivers)).waivers;
}

async function isThere(file: string): Promise<boolean> {
  let found: Awaited<ReturnType<typeof lstat>>;
  try {
    found = await lstat(file);
  } catch (cause) {
    if (isErrno(cause, 'ENOENT')) return false;
    throw new GoodgateError('missing-file', { what: 'the waivers cannot be read', where: file, cause });
  }
  if (found.isFile()) return true;
  throw new GoodgateError('bad-document', {
    what: 'waivers must be a regular file beside the master, not a link or a folder',
    where: file,
    next: 'Put the file itself there, or remove it.',
  });
}

function isErrno(error: unknown, code: string): boolean {
  return error instanceof Error && 'code' in error && error.code === code;
}
