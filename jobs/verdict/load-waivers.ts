import { lstat } from 'node:fs/promises';
import { loadDocument } from '../documents/load-document.js';
import { GoodgateError } from '../errors.js';
import { type Waiver, waivers, waiversFile } from './waivers.js';

/**
 * The waivers that lie beside a master; null when there is no such file. A link is refused: whoever may place
 * one beside a master could have any file on the machine quoted in an error. Errors: bad-document,
 * missing-file.
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
    what: 'waivers must be a plain file beside the master, not a link or a folder',
    where: file,
    next: 'Put the file itself there, or take it away.',
  });
}

function isErrno(error: unknown, code: string): boolean {
  return error instanceof Error && 'code' in error && error.code === code;
}
