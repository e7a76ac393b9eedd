import { basename } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';
import type { ListedHash } from '../../jobs/hash-list/hash-format.js';
import type { PlannedClip } from '../../jobs/plan/plan.js';
import { firstOf } from '../../jobs/words/numbers.js';
import { progressPercent } from '../../jobs/words/quantities.js';
import type { ClipContext } from '../clip-context.js';
import { filesOf, isManyFiles } from '../file/clip-files.js';
import { hashFileIn } from './hash-files.js';
import { listedClips } from './listed-clips.js';

/**
 * Holds a clip against the hash list of its card before anything is made of it. Nothing is read where no list
 * names it.
 *
 * @throws GoodgateError `clip-damaged`; `missing-file`, `file-changed`, `interrupted`
 */
export async function requireAsListed(
  { path, name, facts, listed }: PlannedClip,
  { signal, progress, log }: Pick<ClipContext, 'signal' | 'progress' | 'log'>,
): Promise<void> {
  const files = await listedFiles(path, listed);
  let done = 0;
  const damaged: string[] = [];
  for (const { file, format, value } of files) {
    const hashes = await hashFileIn([format], file, {
      signal,
      onBytes: (bytes) => {
        done += bytes;
        const share = facts.bytes === 0 ? 1 : Math.min(1, done / facts.bytes);
        progress({ stage: 'decode', fraction: 0, detail: `verifying ${name}, ${progressPercent(share)}` });
      },
    });
    const found = hashes.get(format);
    if (found !== value) damaged.push(`${basename(file)}: its ${format} is ${found}, listed is ${value}`);
  }
  if (damaged.length === 0) {
    if (files.length > 0) log.info({ clip: name, files: files.length, ...listed }, 'as in the hash list');
    return;
  }
  throw new GoodgateError('clip-damaged', {
    what: `the clip is not as in the hash list of its card: ${firstOf(damaged, 3)}`,
    where: path,
    next: 'copy it once more from the card, or from another copy that goodgate verify passes',
  });
}

/** The files of the clip that a list names: of several the list itself is asked for each. */
async function listedFiles(
  path: string,
  listed: PlannedClip['listed'],
): Promise<(ListedHash & { readonly file: string })[]> {
  if (!isManyFiles(path)) return listed === undefined ? [] : [{ file: path, ...listed }];
  const { hashes } = await listedClips(await filesOf(path));
  return [...hashes].map(([file, hash]) => ({ file, ...hash }));
}
