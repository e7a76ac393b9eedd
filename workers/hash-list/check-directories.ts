import type { CheckedEntry } from '../../jobs/hash-list/card-check.js';
import type { HashFormat } from '../../jobs/hash-list/hash-format.js';
import { type DirectoryHashes, directoryHashes } from './directory-hashes.js';
import { below, type CardHistory, type ExaminedCard, joined, liesIn } from './examine-card.js';

/**
 * Directory hashes of everything below a list that it does not ignore, as it lies there now.
 *
 * @returns null where a file could not be read
 */
export async function hashesOfDirectories(
  card: Pick<ExaminedCard, 'tree' | 'files'>,
  { base, demands }: Pick<CardHistory, 'base' | 'demands'>,
  format: HashFormat,
): Promise<Map<string, DirectoryHashes> | null> {
  const files = new Map<string, string>();
  for (const { file, hashed } of card.files) {
    if (!liesIn(file.path, base) || file.path === base) continue;
    const path = below(file.path, base);
    if (demands.ignores(path)) continue;
    const hash = 'hashes' in hashed ? hashed.hashes.get(format) : undefined;
    if (hash === undefined) return null;
    files.set(path, hash);
  }
  const directories = card.tree.directories
    .filter(({ path }) => path !== base && liesIn(path, base))
    .map(({ path }) => below(path, base))
    .filter((path) => !demands.ignores(`${path}/`));
  return directoryHashes(format, files, directories);
}

/**
 * Holds folders against the directory hashes of the last generation of each list. A folder that differs is
 * told by itself only where no file in it explains that: then the list lacks something, or names were moved.
 *
 * @param files how the files stand
 */
export async function checkDirectories(
  card: ExaminedCard,
  files: readonly CheckedEntry[],
): Promise<CheckedEntry[]> {
  const faults = files.filter(({ outcome }) => outcome !== 'verified').map(({ path }) => path);
  const entries: CheckedEntry[] = [];
  for (const history of card.histories) {
    const listed = history.demands.directories.flatMap(({ path, hashes }) =>
      hashes.map((each) => ({ path, ...each })),
    );
    for (const format of new Set(listed.map((each) => each.format))) {
      const found = await hashesOfDirectories(card, history, format);
      if (found === null) continue;
      for (const directory of listed.filter((each) => each.format === format)) {
        const path = joined(history.base, directory.path);
        if (faults.some((fault) => liesIn(fault, path))) continue;
        entries.push(checkDirectory(path, directory, found.get(directory.path)));
      }
    }
    entries.push(...newDirectories(card, history));
  }
  return withoutExplained(entries);
}

function checkDirectory(
  path: string,
  listed: DirectoryHashes & { readonly format: HashFormat },
  found: DirectoryHashes | undefined,
): CheckedEntry {
  const entry = { path: `${path}/`, bytes: null, hashes: {} };
  if (found === undefined)
    return { ...entry, outcome: 'missing', why: 'the folder is listed, and not there' };
  const hashes = { content: found.content, structure: found.structure };
  if (found.content !== listed.content) {
    const why = `its files are other than those of the ${listed.format} of the folder, ${listed.content}`;
    return { ...entry, hashes, outcome: 'changed', why };
  }
  if (found.structure !== listed.structure) {
    const why = `names or folders in it are other than listed: the structure is not ${listed.structure}`;
    return { ...entry, hashes, outcome: 'changed', why };
  }
  return { ...entry, hashes, outcome: 'verified', why: null };
}

/** Empty folders that the last generation does not know: they change the structure of those above. */
function newDirectories({ tree, files, histories }: ExaminedCard, history: CardHistory): CheckedEntry[] {
  const { base, demands } = history;
  if (demands.directories.length === 0) return [];
  const known = new Set(demands.directories.map(({ path }) => joined(base, path)));
  return tree.directories
    .filter(({ path }) => histories.findLast((each) => liesIn(path, each.base)) === history)
    .filter(({ path }) => !known.has(path) && !demands.ignores(`${below(path, base)}/`))
    .filter(({ path }) => !files.some(({ file }) => liesIn(file.path, path)))
    .map(({ path }) => ({
      ...{ path: `${path}/`, outcome: 'unlisted', bytes: null, hashes: {} },
      why: 'the hash list does not know this empty folder',
    }));
}

/** A folder whose structure differs only because a folder in it is told of is not told of itself. */
function withoutExplained(entries: readonly CheckedEntry[]): CheckedEntry[] {
  const told = entries.filter(({ outcome }) => outcome === 'missing' || outcome === 'unlisted');
  return entries.filter(
    ({ path, outcome }) =>
      outcome !== 'changed' ||
      !told.some((other) => other.path !== path && (path === '/' || other.path.startsWith(path))),
  );
}
