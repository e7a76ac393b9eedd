import type { Dirent } from 'node:fs';
import { readdir } from 'node:fs/promises';
import { dirname, join, relative, sep } from 'node:path';
import { BATCH_MARKER } from '../batch/folder.js';
import { errnoOf } from '../batch/write-whole.js';
import { wouldBeClip } from '../probe/card/left-out.js';
import { naturalOrder } from '../probe/card/scan-folder.js';
import { stemsOf } from '../probe/card/scan-rules.js';
import { historyAbove } from './examine-card.js';
import type { Demands } from './expected-files.js';
import { readWhole } from './listed-clips.js';
import { HISTORY_FOLDER, hasHistory } from './read-history.js';

/** A file that a hash list names and that is not there. */
export interface MissingListed {
  /** Below the root, `/` between its parts. */
  readonly file: string;
  /** By name and listed size it would be read as a clip; or it is a list, with whatever it named. */
  readonly isClip: boolean;
}

/**
 * Files below a folder that its hash lists name and that are not there: those of the list that covers the
 * folder, of the lists of its clips, and of the lists these name. What a list ignores is not asked for; a
 * file goes by its last name. A folder that cannot be listed leaves open what lies in it.
 *
 * @param root absolute
 * @param lists those of the clips, by the folder they cover, already read
 * @param whole look for lists in every folder below the root, not only where clips are
 * @throws GoodgateError `bad-document` where a list cannot be read, or is not the one its chain knows
 */
export async function missingListed(
  root: string,
  lists: ReadonlyMap<string, Demands>,
  whole: boolean,
): Promise<MissingListed[]> {
  const all = new Map(lists);
  const above = await historyAbove(root);
  const missing = new Map<string, boolean>();
  const names = new Names();
  const todo = [
    ...(above === null ? [] : [above]),
    ...(whole ? await historiesBelow(root) : []),
    ...all.keys(),
  ];
  const seen = new Set<string>();
  for (const card of todo) {
    if (seen.has(card)) continue;
    seen.add(card);
    const demands = all.get(card) ?? (await readWhole(card));
    const ofFolder = stemsByFolder(demands);
    for (const [listed, { bytes }] of demands.files) {
      const file = belowRoot(root, join(card, listed));
      if (file === null || (await names.has(card, listed))) continue;
      const stemsBeside = ofFolder.get(dirname(listed)) ?? new Set();
      missing.set(file, wouldBeClip({ file: listed, bytes, stemsBeside }));
    }
    for (const { path } of demands.references) {
      const file = belowRoot(root, join(card, path));
      if (file === null) continue;
      if (await names.has(card, path)) todo.push(dirname(dirname(join(card, path))));
      // What it named is not known any more: it may have been a whole card.
      else missing.set(file, true);
    }
  }
  return [...missing]
    .map(([file, isClip]) => ({ file, isClip }))
    .sort((a, b) => naturalOrder(a.file, b.file));
}

/** The path below a folder, `/` between its parts; null where it does not lie there. */
export function belowRoot(root: string, path: string): string | null {
  const file = relative(root, path).split(sep).join('/');
  return file === '..' || file.startsWith('../') ? null : file;
}

/** A still picture beside a clip of its name is the clip's thumbnail, also where both are gone. */
function stemsByFolder({ files }: Demands): Map<string, ReadonlySet<string>> {
  const names = new Map<string, string[]>();
  for (const path of files.keys()) {
    const folder = dirname(path);
    const beside = names.get(folder) ?? [];
    beside.push(path.slice(path.lastIndexOf('/') + 1));
    names.set(folder, beside);
  }
  return new Map([...names].map(([folder, beside]) => [folder, stemsOf(beside)]));
}

/** What lies in folders, each listed once. Links are not followed. */
class Names {
  readonly #folders = new Map<string, Promise<ReadonlyMap<string, Dirent> | null>>();

  /** Whether a plain file is there, its name written with these accents or others (Unicode NFC and NFD). */
  async has(card: string, listed: string): Promise<boolean> {
    const parts = listed.split('/');
    let folder = card;
    for (const [index, part] of parts.entries()) {
      const entries = await this.#in(folder);
      // Whether it is there is not known, and the folder is told as one that cannot be read.
      if (entries === null) return true;
      const entry = entries.get(part) ?? entries.get(part.normalize('NFC'));
      if (index === parts.length - 1) return entry?.isFile() === true;
      if (entry?.isDirectory() !== true) return false;
      folder = join(folder, entry.name);
    }
    return false;
  }

  #in(folder: string): Promise<ReadonlyMap<string, Dirent> | null> {
    const known = this.#folders.get(folder);
    if (known !== undefined) return known;
    const found = namesIn(folder);
    this.#folders.set(folder, found);
    return found;
  }
}

async function namesIn(folder: string): Promise<ReadonlyMap<string, Dirent> | null> {
  try {
    const entries = await readdir(folder, { withFileTypes: true });
    return new Map([
      ...entries.map((entry) => [entry.name.normalize('NFC'), entry] as const),
      ...entries.map((entry) => [entry.name, entry] as const),
    ]);
  } catch (error) {
    return ['ENOENT', 'ENOTDIR'].includes(errnoOf(error) ?? '') ? new Map() : null;
  }
}

/** Folders with a hash list of their own, in and below a folder. What goodgate made belongs to no card. */
export async function historiesBelow(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { withFileTypes: true }).catch(() => []);
  if (entries.some(({ name }) => name === BATCH_MARKER)) return [];
  const found = (await hasHistory(folder)) ? [folder] : [];
  for (const entry of entries) {
    if (!entry.isDirectory() || entry.name === HISTORY_FOLDER) continue;
    found.push(...(await historiesBelow(join(folder, entry.name))));
  }
  return found;
}
