import { readdir, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { isAbandoned, isTemporary } from './attempt.js';
import { below, LOCKS_FOLDER } from './folder.js';
import { sweepLocks } from './lock.js';

/**
 * Removes what killed processes left half made in a batch folder; what a living worker is making stays, and
 * so does what cannot be removed.
 */
export async function sweep(folder: string): Promise<void> {
  const entries = await readdir(folder, { withFileTypes: true, recursive: true }).catch(() => []);
  for (const entry of entries) {
    // Frames of a sequence are made in a folder of such a name.
    if (!(entry.isFile() || entry.isDirectory()) || !isTemporary(entry.name)) continue;
    const path = join(entry.parentPath, entry.name);
    const found = await stat(path).catch(() => null);
    if (found === null || !isAbandoned(entry.name, found.mtimeMs, Date.now())) continue;
    await rm(path, { recursive: true, force: true }).catch(() => undefined);
  }
  await sweepLocks(below(folder, LOCKS_FOLDER));
}
