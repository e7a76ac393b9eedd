import type { HashFormat } from '../../jobs/hash-list/hash-format.js';
import { bytesOfHash, hashOf } from './hasher.js';

/** The two hashes of a directory: of what its files hold, and of that together with their names. */
export interface DirectoryHashes {
  readonly content: string;
  readonly structure: string;
}

interface Directory {
  readonly files: Map<string, string>;
  readonly directories: Map<string, Directory>;
}

/**
 * Content and structure hash of every directory, by its path; '' is the top one. Pure.
 *
 * ASC MHL v1.0, appendix G: hashes of children are sorted as text, turned into bytes, and hashed together.
 * For the content hash these are the hashes of files and the content hashes of directories; for the structure
 * hash of each child, the name in UTF-8 and its hash (of a directory its structure hash) are hashed first. An
 * empty directory is the hash of nothing (examples of the standard).
 *
 * @param files hash of every file, by its path
 * @param directories paths of directories, which may hold no file
 */
export async function directoryHashes(
  format: HashFormat,
  files: ReadonlyMap<string, string>,
  directories: Iterable<string>,
): Promise<Map<string, DirectoryHashes>> {
  const top = emptyDirectory();
  for (const path of directories) directoryAt(top, path);
  for (const [path, hash] of files) {
    const at = path.lastIndexOf('/');
    directoryAt(top, at < 0 ? '' : path.slice(0, at)).files.set(path.slice(at + 1), hash);
  }
  const found = new Map<string, DirectoryHashes>();
  const visit = async (directory: Directory, path: string): Promise<DirectoryHashes> => {
    const contents = [...directory.files.values()];
    const named = [...directory.files];
    for (const [name, child] of directory.directories) {
      const hashes = await visit(child, path === '' ? name : `${path}/${name}`);
      contents.push(hashes.content);
      named.push([name, hashes.structure]);
    }
    const structures = await Promise.all(
      named.map(([name, hash]) => hashOf(format, [Buffer.from(name, 'utf8'), bytesOfHash(format, hash)])),
    );
    const hashes = {
      content: await hashOfHashes(format, contents),
      structure: await hashOfHashes(format, structures),
    };
    found.set(path, hashes);
    return hashes;
  };
  await visit(top, '');
  return found;
}

function hashOfHashes(format: HashFormat, hashes: readonly string[]): Promise<string> {
  // Compared by code units: they are digits and letters alone.
  const sorted = [...hashes].sort();
  return hashOf(
    format,
    sorted.map((hash) => bytesOfHash(format, hash)),
  );
}

function emptyDirectory(): Directory {
  return { files: new Map(), directories: new Map() };
}

function directoryAt(top: Directory, path: string): Directory {
  let at = top;
  for (const name of path === '' ? [] : path.split('/')) {
    const next = at.directories.get(name) ?? emptyDirectory();
    at.directories.set(name, next);
    at = next;
  }
  return at;
}
