import { GoodgateError } from '../jobs/errors.js';

/**
 * An empty folder is most often a disk that is not there: no list of clips, and no batch, is made of it.
 *
 * @param found clips and files that could not be read
 * @throws GoodgateError `nothing-to-do`
 */
export function requireClips(found: number, where: string): void {
  if (found > 0) return;
  throw new GoodgateError('nothing-to-do', {
    what: 'there is no clip here',
    where,
    next: 'check the path, and that the disk is mounted and holds the card',
  });
}
