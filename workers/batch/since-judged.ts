import type { Batch, BatchItem, SinceJudged } from '../../jobs/plan/batch.js';
import { atOnce } from '../at-once.js';
import { changeOf } from '../file/file-state.js';
import { thereOf } from './assemble.js';
import { below } from './folder.js';

/** Looking at files over a network waits more than it computes. */
const LOOKS_AT_ONCE = 32;

/**
 * What became of a file after it was judged, without reading it; null: it is as it was, or nothing tells.
 * An original that is not there is on its card, wherever that is by now.
 *
 * Size and time prove little by themselves: both can be put back. The time of the last change of any kind
 * (ctime) cannot, but by setting the clock. It changes with owner, mode and name too. The inode is left
 * aside: on cards and network volumes it changes with every mount. FAT and exFAT keep no ctime: there a
 * change with the time put back is not seen.
 */
export async function sinceJudged(
  out: string,
  { kind, path, bytes, modified, changed }: BatchItem,
): Promise<SinceJudged | null> {
  if (bytes === null) return null;
  const now = await changeOf(kind === 'output' ? below(out, path) : path);
  if (now === null) return kind === 'output' ? 'gone' : null;
  if (now.bytes !== bytes || (modified !== null && now.modified !== modified)) return 'changed';
  return changed === null || now.changed === changed ? null : 'touched';
}

/**
 * The batch with what became of each of its files, and of those no longer asked for.
 *
 * @param alsoTouched false where files were just made, maybe by other machines: a network file system may
 * tell each another ctime until it has settled
 */
export async function withSinceJudged(out: string, batch: Batch, alsoTouched: boolean): Promise<Batch> {
  const items = batch.clips.flatMap((clip) => clip.items);
  const found = await atOnce(LOOKS_AT_ONCE, items, async (item) => {
    const since = await sinceJudged(out, item);
    return [item, since === 'touched' && !alsoTouched ? null : since] as const;
  });
  const since = new Map(found);
  const clips = batch.clips.map((clip) => ({
    ...clip,
    items: clip.items.map((item) => ({ ...item, since: since.get(item) ?? null })),
  }));
  return { ...batch, clips, left: await thereOf(out, batch.left) };
}
