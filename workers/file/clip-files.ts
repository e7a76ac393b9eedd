import { sequenceName } from '../../jobs/manifest/sequence-path.js';
import { listFrames } from '../sequence/list-frames.js';

/**
 * The files a clip consists of, absolute: one, or all of a picture sequence, by number.
 *
 * @throws GoodgateError `missing-file`, `unreadable-clip` for a sequence that is none
 */
export async function filesOf(path: string): Promise<readonly string[]> {
  if (sequenceName(path) === null) return [path];
  return (await listFrames(path)).files.map((file) => file.path);
}
