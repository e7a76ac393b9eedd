import ignore from 'ignore';
import type { HashFormat } from '../../jobs/hash-list/hash-format.js';
import type { Generation, ListedDirectory, ListedReference } from './generation.js';
import type { History } from './read-history.js';

/** What always stays out of a list (appendix C). */
export const ALWAYS_IGNORED = ['.DS_Store', 'ascmhl', 'ascmhl/'] as const;

/** What all generations say of one file. */
export interface Expected {
  readonly bytes: number | null;
  /** The hash of each format that was accepted first. Empty: no hash of it ever was. */
  readonly hashes: Map<HashFormat, string>;
  /** Another accepted hash of a format that has one: the generations contradict each other. */
  readonly contradiction: HashFormat | null;
}

/** What a history demands of the folder it covers. Paths are below that folder. */
export interface Demands {
  readonly files: ReadonlyMap<string, Expected>;
  /** Directory hashes of the last generation. */
  readonly directories: readonly ListedDirectory[];
  /** Lists of folders below that the last generation names. */
  readonly references: readonly ListedReference[];
  /** Patterns of the last generation, with those that always hold, in the syntax of gitignore. */
  readonly patterns: readonly string[];
  /** @param path of a folder with `/` at its end */
  ignores(path: string): boolean;
}

/**
 * Puts all generations together: a hash counts where it was `original` or `verified` (clause 5.6.4), a file
 * goes by its last name (`previousPath`, clause 5.6.6). What the last generation ignores, and does not list,
 * is no longer asked for. Pure.
 */
export function demandsOf({ generations }: Pick<History, 'generations'>): Demands {
  const files = new Map<string, Expected>();
  for (const { generation } of generations) addGeneration(files, generation);
  const last = generations.at(-1)?.generation;
  const patterns = [...new Set([...ALWAYS_IGNORED, ...(last?.ignore ?? [])])];
  const matcher = ignore({ ignorecase: false }).add(patterns);
  const listed = new Set(last?.files.map(({ path }) => path));
  const ignores = (path: string): boolean => path !== '' && path !== '/' && matcher.ignores(path);
  for (const path of files.keys()) {
    if (!listed.has(path) && ignores(path)) files.delete(path);
  }
  return {
    files,
    directories: last?.directories ?? [],
    references: last?.references ?? [],
    patterns,
    ignores: (path) => !files.has(path) && ignores(path),
  };
}

function addGeneration(files: Map<string, Expected>, generation: Generation): void {
  // All old names first: two files may have swapped theirs.
  const renamed = new Map<string, Expected>();
  for (const { path, previousPath } of generation.files) {
    const before = previousPath === null ? undefined : files.get(previousPath);
    if (before !== undefined) renamed.set(path, before);
  }
  for (const { previousPath } of generation.files) if (previousPath !== null) files.delete(previousPath);
  for (const { path, bytes, hashes } of generation.files) {
    const before = renamed.get(path) ?? files.get(path);
    const known = new Map(before?.hashes);
    let contradiction = before?.contradiction ?? null;
    let accepted = false;
    for (const { format, value, action } of hashes) {
      if (action === 'failed') continue;
      accepted = true;
      const earlier = known.get(format);
      if (earlier === undefined) known.set(format, value);
      else if (earlier !== value) contradiction = format;
    }
    // The size beside a hash that failed is that of the damaged file.
    files.set(path, {
      bytes: before?.bytes ?? (accepted ? bytes : null),
      hashes: known,
      contradiction,
    });
  }
}
