import { statfs } from 'node:fs/promises';
import { GoodgateError } from '../../jobs/errors.js';
import { bytes } from '../../jobs/words/quantities.js';

/**
 * Stops before hours of encoding that cannot fit. The estimate may be off by half, so only a disk with less
 * than half of it free is refused here; a disk that fills on the way is caught when ffmpeg says so.
 *
 * @throws GoodgateError `disk-full`.
 */
export async function requireRoom(folder: string, needed: number): Promise<void> {
  const { bavail, bsize } = await statfs(folder);
  const free = bavail * bsize;
  if (free >= needed / 2) return;
  throw new GoodgateError('disk-full', {
    what: `about ${bytes(needed)} are needed for this clip, ${bytes(free)} are free`,
    where: folder,
    next: 'free some space or choose another folder with --out, then run it again: what is done stays done',
  });
}
