import { sequenceName } from '../../jobs/manifest/sequence-path.js';
import { spanParts } from '../../jobs/manifest/span-path.js';
import { listFrames } from '../sequence/list-frames.js';

/**
 * The files a clip consists of, absolute: one, the parts of a take in order, or all of a picture sequence, by
 * number.
 *
 * @throws GoodgateError `missing-file`, `unreadable-clip` for a sequence that is none
 */
export async function filesOf(path: string): Promise<readonly string[]> {
  const parts = spanParts(path);
  if (parts !== null) return parts;
  if (sequenceName(path) === null) return [path];
  return (await listFrames(path)).files.map((file) => file.path);
}

/** Whether a path stands for several files. */
export function isManyFiles(path: string): boolean {
  return spanParts(path) !== null || sequenceName(path) !== null;
}
