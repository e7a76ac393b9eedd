import { dirname, resolve } from 'node:path';
import { loadDocument } from '../../jobs/documents/load-document.js';
import { GoodgateError } from '../../jobs/errors.js';
import type { Priority } from '../../jobs/plan/submission.js';
import { watchList } from '../../jobs/plan/watch-list.js';

/** A folder to watch, with all that may differ from folder to folder. */
export interface FolderToWatch {
  readonly folder: string;
  readonly targets: readonly string[];
  /** Folder from which files of targets start. */
  readonly base: string;
  readonly batches: string | undefined;
  readonly priority: Priority;
  readonly steadySeconds: number;
  readonly listed: boolean;
}

/** What was asked for on the command line. */
export interface AskedToWatch {
  readonly folders: readonly string[];
  readonly list: string | undefined;
  readonly target: readonly string[];
  readonly batches: string | undefined;
  readonly priority: Priority;
  readonly steady: number;
  readonly listed: boolean;
}

/**
 * Folders of the command line with its targets, then those of a list with theirs. Options stand in for what
 * a list leaves out.
 *
 * @throws GoodgateError `bad-option`, `bad-document`, `missing-file`
 */
export async function foldersToWatch(asked: AskedToWatch): Promise<FolderToWatch[]> {
  const { folders, list, target, batches, priority, steady, listed } = asked;
  if (folders.length === 0 && list === undefined) {
    throw new GoodgateError('bad-option', {
      what: 'watch has no folder to look after',
      next: 'name one, or a list of them with --list',
    });
  }
  if (folders.length > 0 && target.length === 0) {
    throw new GoodgateError('bad-option', {
      what: 'watch has to know what to make or to judge',
      next: 'add --target NAME; goodgate targets lists them',
    });
  }
  const common = { targets: target, base: process.cwd(), batches, priority, listed, steadySeconds: steady };
  const named = [...new Set(folders.map((folder) => resolve(folder)))].map((folder) => ({
    ...common,
    folder,
  }));
  return requireApart([...named, ...(list === undefined ? [] : await foldersOfList(resolve(list), asked))]);
}

async function foldersOfList(file: string, asked: AskedToWatch): Promise<FolderToWatch[]> {
  const base = dirname(file);
  const { folders } = await loadDocument(file, watchList);
  return folders.map(({ folder, targets, batches, priority, steady, listed }) => ({
    folder: resolve(base, folder),
    ...{ targets, base },
    batches: batches === undefined ? asked.batches : resolve(base, batches),
    priority: priority ?? asked.priority,
    steadySeconds: steady ?? asked.steady,
    listed: listed ?? asked.listed,
  }));
}

/** Two of one folder would submit it by turns, each with its own targets. */
function requireApart(all: FolderToWatch[]): FolderToWatch[] {
  const seen = new Set<string>();
  for (const { folder } of all) {
    if (seen.has(folder)) {
      throw new GoodgateError('bad-option', {
        what: 'a folder is to be watched twice',
        where: folder,
        next: 'give it all its targets in one place',
      });
    }
    seen.add(folder);
  }
  return all;
}
