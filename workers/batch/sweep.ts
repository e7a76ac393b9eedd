import { readdir, rm, stat } from 'node:fs/promises';
import { join } from 'node:path';
import { isAbandoned } from './attempt.js';

/** Removes what killed processes left half made in a batch folder; what a living worker is making stays. */
export async function sweep(folder: string): Promise<void> {
  const entries = await readdir(folder, { withFileTypes: true, recursive: true }).catch(() => []);
  for (const entry of entries) {
    if (!entry.isFile()) continue;
    const path = join(entry.parentPath, entry.name);
    const found = await stat(path).catch(() => null);
    if (found !== null && isAbandoned(entry.name, found.mtimeMs, Date.now())) await rm(path, { force: true });
  }
}
