import { createHash } from 'node:crypto';
import { open, stat } from 'node:fs/promises';
import type { ListedHash } from '../../jobs/hash-list/hash-format.js';
import { atOnce } from '../at-once.js';
import { filesOf } from './clip-files.js';
import { sampleDigest } from './hash-file.js';

/** Clips that are copies of one another, and what shows it. */
export interface SameContent {
  readonly paths: readonly string[];
  /** `hash`: every byte, by their hash lists. `samples`: size and pieces spread over the file. */
  readonly by: 'hash' | 'samples';
}

export interface ClipContent {
  readonly path: string;
  readonly bytes: number;
}

const AT_ONCE = 4;
/** Files of a clip of which pieces are read: evenly spread, the first and the last among them. */
const SAMPLED = 16;

/**
 * Finds clips of the same content, whatever their names. Only clips of one size are read, and of those only
 * pieces. What cannot be read is the same as nothing.
 *
 * @param hashes what hash lists say of clips, by their path
 */
export async function sameContent(
  clips: readonly ClipContent[],
  hashes: ReadonlyMap<string, ListedHash> = new Map(),
): Promise<SameContent[]> {
  const found: SameContent[] = [];
  for (const group of groupsBy(clips, ({ bytes }) => (bytes === 0 ? null : String(bytes)))) {
    const named = (path: string): string | null => {
      const hash = hashes.get(path);
      return hash === undefined ? null : `${hash.format} ${hash.value}`;
    };
    const byHash = groupsBy(group, ({ path }) => named(path));
    for (const same of byHash) found.push({ paths: same.map(({ path }) => path), by: 'hash' });
    // Two hashes of one format that differ are two contents; others are told by samples.
    const open = group.filter(({ path }) => !byHash.some((same) => same.some((each) => each.path === path)));
    const digests = new Map(
      await atOnce(AT_ONCE, open, async ({ path }) => [path, await digestOf(path)] as const),
    );
    for (const same of groupsBy(open, ({ path }) => digests.get(path) ?? null)) {
      const listed = new Set(same.map(({ path }) => named(path)).filter((hash) => hash !== null));
      if (listed.size <= 1) found.push({ paths: same.map(({ path }) => path), by: 'samples' });
    }
  }
  return found;
}

function groupsBy(
  clips: readonly ClipContent[],
  keyOf: (clip: ClipContent) => string | null,
): ClipContent[][] {
  const groups = new Map<string, ClipContent[]>();
  for (const clip of clips) {
    const key = keyOf(clip);
    if (key === null) continue;
    const group = groups.get(key) ?? [];
    group.push(clip);
    groups.set(key, group);
  }
  return [...groups.values()].filter((group) => group.length > 1);
}

/** Of sizes and pieces, not of names and times: a copy has others. */
async function digestOf(path: string): Promise<string | null> {
  try {
    const files = await filesOf(path);
    const hash = createHash('sha256');
    for (const file of files) hash.update(`${(await stat(file)).size}\n`);
    const spread = Math.max(1, (files.length - 1) / (SAMPLED - 1));
    for (let at = 0; Math.round(at) < files.length; at += spread) {
      const file = await open(files[Math.round(at)] ?? '');
      try {
        hash.update(await sampleDigest(file, (await file.stat()).size));
      } finally {
        await file.close();
      }
    }
    return hash.digest('hex');
  } catch {
    return null;
  }
}
