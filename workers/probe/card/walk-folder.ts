import type { Dirent } from 'node:fs';
import { readdir, realpath } from 'node:fs/promises';
import { basename, join, sep } from 'node:path';
import { BATCH_MARKER } from '../../batch/folder.js';
import { isHiddenOrSystem, type Skipped, skipFile, stemsOf } from './scan-rules.js';

export interface Walk {
  /** Absolute paths of the files to read. */
  readonly files: string[];
  readonly unreadable: { path: string; reason: string }[];
  /** Paths of what was left out, by what it is. */
  readonly skipped: Map<Skipped | 'link within the folder', string[]>;
}

/**
 * Lists a folder and everything below it. Links are not followed: one that leads out of the root is listed as
 * unreadable (its target was not copied from the card), one that stays inside is ignored, since its target is
 * listed anyway. Names that are not UTF-8 are listed as unreadable: a manifest cannot name them. A batch
 * folder is left out.
 */
export async function walkFolder(root: string, into: Walk, signal?: AbortSignal): Promise<void> {
  const realRoot = await realpath(root);
  const visit = async (folder: string): Promise<void> => {
    signal?.throwIfAborted();
    let entries: Dirent<Buffer>[];
    try {
      entries = await readdir(folder, { withFileTypes: true, encoding: 'buffer' });
    } catch (error) {
      into.unreadable.push({ path: folder, reason: `the folder cannot be listed (${codeOf(error)})` });
      return;
    }
    // What goodgate made lies below, whatever it is called: it did not come from a camera.
    if (entries.some((entry) => entry.name.toString() === BATCH_MARKER)) {
      skip(into, 'batch folder of goodgate', folder);
      return;
    }
    const stemsBeside = stemsOf(
      entries.filter((entry) => entry.isFile()).map((entry) => entry.name.toString()),
    );
    for (const entry of entries) {
      const name = entry.name.toString('utf8');
      const path = join(folder, name);
      if (!Buffer.from(name, 'utf8').equals(entry.name)) {
        into.unreadable.push({ path, reason: 'its name is not UTF-8: rename it' });
      } else if (entry.isSymbolicLink()) {
        await visitLink(path, realRoot, into);
      } else if (entry.isDirectory()) {
        if (isHiddenOrSystem(name)) skip(into, 'hidden or system file', path);
        else await visit(path);
      } else if (entry.isFile()) {
        const why = skipFile({ name, folderName: basename(folder), stemsBeside });
        if (why === null) into.files.push(path);
        else skip(into, why, path);
      } else {
        into.unreadable.push({ path, reason: 'it is not a regular file' });
      }
    }
  };
  await visit(root);
}

async function visitLink(path: string, realRoot: string, into: Walk): Promise<void> {
  try {
    const target = await realpath(path);
    const inside =
      target === realRoot || target.startsWith(realRoot.endsWith(sep) ? realRoot : realRoot + sep);
    if (inside) skip(into, 'link within the folder', path);
    else into.unreadable.push({ path, reason: 'it is a link that leads out of the folder' });
  } catch (error) {
    into.unreadable.push({ path, reason: `it is a broken link (${codeOf(error)})` });
  }
}

function skip(into: Walk, what: Skipped | 'link within the folder', path: string): void {
  const known = into.skipped.get(what);
  if (known === undefined) into.skipped.set(what, [path]);
  else known.push(path);
}

function codeOf(error: unknown): string {
  return error instanceof Error && 'code' in error ? String(error.code) : String(error);
}
