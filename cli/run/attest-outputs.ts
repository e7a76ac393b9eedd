import { join, relative } from 'node:path';
import type { Batch } from '../../jobs/plan/batch.js';
import { count } from '../../jobs/words/numbers.js';
import { visible } from '../../jobs/words/plain-text.js';
import { attestFolder } from '../../workers/hash-list/attest-folder.js';
import { say, warn } from '../print.js';
import { hashProgress } from '../progress/hash-progress.js';
import { goodgateVersion } from '../version.js';

/** Temporary files and what a system leaves: never an output. */
const IGNORED = ['.*'];

/**
 * Writes the hash list of the outputs of a batch: one for each target, in the folder of its outputs, the next
 * generation where there is one. Plan, reports and logs change with every run and are not in it.
 *
 * @returns whether every output of an earlier generation is as it was
 * @throws GoodgateError as `attestFolder`
 */
export async function attestOutputs(
  { clips }: Pick<Batch, 'clips'>,
  out: string,
  signal: AbortSignal,
): Promise<boolean> {
  const made = clips.flatMap(({ items }) => items.filter(({ kind }) => kind === 'output'));
  const targets = new Set(made.flatMap(({ target }) => target ?? []));
  let isSame = true;
  for (const target of targets) {
    const progress = hashProgress(`hashing ${target}:`);
    try {
      const { written, files, changed, missing } = await attestFolder(join(out, target), {
        ...{ ignore: IGNORED, version: goodgateVersion(), now: new Date(), signal },
        onProgress: progress.update,
      });
      progress.stop();
      for (const path of written) {
        say(`${count(files, 'file')} in the hash list ${visible(relative(out, path))}`);
      }
      for (const path of changed) warn(`changed since the last hash list: ${visible(`${target}/${path}`)}`);
      for (const path of missing) warn(`missing since the last hash list: ${visible(`${target}/${path}`)}`);
      isSame &&= changed.length + missing.length === 0;
    } finally {
      progress.stop();
    }
  }
  return isSame;
}
