import type { Dirent } from 'node:fs';
import { lstat, readdir } from 'node:fs/promises';
import { join } from 'node:path';
import { errnoOf } from '../batch/write-whole.js';
import { HISTORY_FOLDER, hasHistory } from './read-history.js';

export interface CardFile {
  /** Below the card, `/` between its parts. */
  readonly path: string;
  readonly bytes: number;
  /** Nanoseconds, as text: of the last change of the content, and of anything. */
  readonly modifiedNs: string;
  readonly changedNs: string;
  readonly modified: string;
}

/** All that lies on a card, without following a link. */
export interface CardTree {
  readonly files: CardFile[];
  readonly directories: { readonly path: string; readonly modified: string }[];
  /** What is neither: links, devices, names that are not UTF-8, folders that cannot be listed. */
  readonly odd: { readonly path: string; readonly why: string }[];
  /** Folders with a hash list of their own; '' is the card itself. */
  readonly histories: string[];
}

/** Errors: whatever the signal was aborted with. */
export async function walkCard(root: string, signal?: AbortSignal): Promise<CardTree> {
  const tree: CardTree = { files: [], directories: [], odd: [], histories: [] };
  const visit = async (path: string): Promise<void> => {
    signal?.throwIfAborted();
    let entries: Dirent<Buffer>[];
    try {
      entries = await readdir(join(root, path), { withFileTypes: true, encoding: 'buffer' });
    } catch (error) {
      tree.odd.push({ path, why: `the folder cannot be listed (${errnoOf(error) ?? error})` });
      return;
    }
    if (await hasHistory(join(root, path))) tree.histories.push(path);
    for (const entry of entries) {
      const name = entry.name.toString('utf8');
      const at = path === '' ? name : `${path}/${name}`;
      if (!Buffer.from(name, 'utf8').equals(entry.name)) {
        tree.odd.push({ path: at, why: 'its name is not UTF-8, which a hash list cannot hold' });
      } else if (entry.isDirectory()) {
        if (name !== HISTORY_FOLDER) await visitDirectory(at);
      } else if (entry.isFile()) {
        await addFile(at);
      } else {
        tree.odd.push({
          path: at,
          why: entry.isSymbolicLink() ? 'it is a link, which is not followed' : 'it is no plain file',
        });
      }
    }
  };
  const visitDirectory = async (path: string): Promise<void> => {
    const { mtime } = await lstat(join(root, path));
    tree.directories.push({ path, modified: mtime.toISOString() });
    await visit(path);
  };
  const addFile = async (path: string): Promise<void> => {
    const found = await lstat(join(root, path), { bigint: true });
    tree.files.push({
      path,
      bytes: Number(found.size),
      modifiedNs: String(found.mtimeNs),
      changedNs: String(found.ctimeNs),
      modified: found.mtime.toISOString(),
    });
  };
  await visit('');
  const byPath = (a: { path: string }, b: { path: string }): number => (a.path < b.path ? -1 : 1);
  tree.files.sort(byPath);
  tree.directories.sort(byPath);
  return tree;
}
