import { resolve } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';
import type { BatchEntry } from '../../jobs/queue/messages.js';
import { type BatchState, stateInFolder } from './batch-state.js';
import { rememberedBatches } from './remembered-batches.js';

/** Of batches that the server does not know; all others can be named by their folder. */
const IN_FOLDERS_AT_MOST = 20;

/** Batches of this state folder that the server does not know: those of a `run`, those it lost. */
export async function batchesOnlyInFolders(
  stateFolder: string,
  entries: readonly BatchEntry[],
): Promise<BatchState[]> {
  const known = new Set(entries.map(({ out }) => out));
  const folders = (await rememberedBatches(stateFolder)).map(({ out }) => out);
  const states = await Promise.all(folders.filter((out) => !known.has(out)).map(stateInFolder));
  return states
    .flatMap((state) => state ?? [])
    .sort((a, b) => (a.submittedAt < b.submittedAt ? 1 : -1))
    .slice(0, IN_FOLDERS_AT_MOST);
}

/**
 * A batch named by id, by the beginning of its id, or by its folder.
 *
 * @throws GoodgateError `unknown-batch`
 */
export async function findBatch(
  wanted: string,
  entries: readonly BatchEntry[],
  inFolders: readonly BatchState[],
): Promise<BatchEntry | BatchState> {
  const folder = resolve(wanted);
  const hits = [
    ...entries.filter((entry) => entry.id.startsWith(wanted) || entry.out === folder),
    ...inFolders.filter((state) => state.batch.startsWith(wanted) || state.out === folder),
  ];
  const [hit] = hits;
  if (hit !== undefined && hits.length === 1) return hit;
  const state = hits.length === 0 ? await stateInFolder(folder) : null;
  if (state !== null) return state;
  throw new GoodgateError('unknown-batch', {
    what:
      hits.length > 1
        ? `${wanted} fits ${hits.length} batches`
        : `no batch ${wanted} is on the queue, and no folder of that name holds one`,
    next: 'goodgate status lists the batches there are',
  });
}
