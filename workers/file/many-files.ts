import { createHash } from 'node:crypto';
import { open, stat } from 'node:fs/promises';
import type { ClipFacts } from '../../jobs/manifest/facts.js';
import type { Measurement } from '../../jobs/measurement/measurement.js';
import { sampleDigest } from './hash-file.js';

type FileState = Pick<ClipFacts, 'bytes' | 'modified'>;
type FileChange = Pick<Measurement['file'], 'changed'>;
type FileIdentity = Omit<Measurement['file'], 'path' | 'hash'>;

/** Files of a clip of which pieces are read: evenly spread, the first and the last among them. */
const SAMPLED = 16;

/** What tells one state of many files from another: names, sizes, times, and what only a change renews. */
export async function marksOf(paths: readonly string[]): Promise<string> {
  const hash = createHash('sha256');
  for (const path of paths) {
    const { size, mtimeNs, ctimeNs, ino, dev } = await stat(path, { bigint: true });
    hash.update(`${path}\0${size} ${mtimeNs} ${ctimeNs} ${ino} ${dev}\n`);
  }
  return hash.digest('hex');
}

/** Size of all files together, and the last change of any of them. */
export async function stateOfFiles(paths: readonly string[]): Promise<FileState & FileChange> {
  let [bytes, last, changed] = [0, 0, 0];
  for (const path of paths) {
    // Rounded as the state of a single file is: milliseconds as a number have a fraction.
    const { size, mtime, ctime } = await stat(path);
    bytes += size;
    last = Math.max(last, mtime.getTime());
    changed = Math.max(changed, ctime.getTime());
  }
  return { bytes, modified: new Date(last).toISOString(), changed: new Date(changed).toISOString() };
}

/**
 * Identity of many files as one: SHA-256 of the name, size and time of each, and of the digests of 16 of
 * them.
 */
export async function identityOfFiles(paths: readonly string[]): Promise<FileIdentity> {
  const hash = createHash('sha256');
  for (const path of paths) {
    const { size, mtime } = await stat(path);
    hash.update(`${path.slice(path.lastIndexOf('/') + 1)}\0${size} ${mtime.getTime()}\n`);
  }
  const spread = Math.max(1, (paths.length - 1) / (SAMPLED - 1));
  for (let at = 0; Math.round(at) < paths.length; at += spread) {
    const path = paths[Math.round(at)] ?? '';
    const file = await open(path);
    try {
      hash.update(await sampleDigest(file, (await file.stat()).size));
    } finally {
      await file.close();
    }
  }
  return { ...(await stateOfFiles(paths)), digest: hash.digest('hex') };
}
