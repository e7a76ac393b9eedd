import { mkdtempSync, readdirSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { guardPath, releasePath } from './guard.js';
import { isOwnerAlive, thisOwner } from './owner.js';

const PREFIX = 'goodgate-';
const NAME = /^goodgate-(?<kind>[a-z]+)-(?<owner>[0-9a-f]{8}-\d+-\d+)-\w{6}$/;
/** Where it is not known whether the owner is alive, an older folder counts as abandoned. */
const ABANDONED_MS = 7 * 24 * 3_600_000;

export interface TemporaryFolder {
  readonly path: string;
  /** Removes it and all in it. Safe to call twice. */
  remove(): void;
}

let swept = false;

/**
 * A folder for this process alone (mode 700), named after its owner. It is removed by `remove`, when this
 * process ends, or at the latest when a later process finds that its owner has died.
 *
 * Throws errors of the file system.
 */
export function makeTemporaryFolder(
  kind: 'pipes' | 'probe' | 'pattern' | 'stills' | 'luts' | 'doctor' | 'check' | 'compare' | 'frames',
): TemporaryFolder {
  if (!swept) sweepAbandoned();
  swept = true;
  const path = mkdtempSync(join(tmpdir(), `${PREFIX}${kind}-${thisOwner()}-`));
  guardPath(path);
  return {
    path,
    remove() {
      rmSync(path, { recursive: true, force: true });
      releasePath(path);
    },
  };
}

/** Removes what dead processes left, except what belongs to another user or cannot be removed. */
export function sweepAbandoned(): void {
  for (const entry of entriesOf(tmpdir())) {
    const owner = NAME.exec(entry)?.groups?.['owner'];
    if (owner === undefined) continue;
    const path = join(tmpdir(), entry);
    try {
      if (isOwnerAlive(owner) ?? Date.now() - statSync(path).mtimeMs < ABANDONED_MS) continue;
      rmSync(path, { recursive: true, force: true });
    } catch {
      // Another process may sweep at the same time.
    }
  }
}

function entriesOf(folder: string): string[] {
  try {
    return readdirSync(folder);
  } catch {
    return [];
  }
}
