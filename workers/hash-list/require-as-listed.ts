import { GoodgateError } from '../../jobs/errors.js';
import type { PlannedClip } from '../../jobs/plan/plan.js';
import { progressPercent } from '../../jobs/words/quantities.js';
import type { ClipContext } from '../clip-context.js';
import { hashFileIn } from './hash-files.js';

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
  if (listed === undefined) return;
  let done = 0;
  const hashes = await hashFileIn([listed.format], path, {
    signal,
    onBytes: (bytes) => {
      done += bytes;
      const share = facts.bytes === 0 ? 1 : Math.min(1, done / facts.bytes);
      progress({ stage: 'decode', fraction: 0, detail: `verifying ${name}, ${progressPercent(share)}` });
    },
  });
  const found = hashes.get(listed.format);
  if (found === listed.value) {
    log.info({ clip: name, ...listed }, 'as in the hash list');
    return;
  }
  throw new GoodgateError('clip-damaged', {
    what: `the clip is not as in the hash list of its card: its ${listed.format} is ${found}, listed is ${listed.value}`,
    where: path,
    next: 'copy it once more from the card, or from another copy that goodgate verify passes',
  });
}
