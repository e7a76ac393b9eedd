import { GoodgateError } from '../jobs/errors.js';
import { below, LOCKS_FOLDER, PLAN_FILE } from '../workers/batch/folder.js';
import { type Lock, takeLock } from '../workers/batch/lock.js';
import { say } from './print.js';

/** A run that ends just now is waited for. */
const PATIENCE_MS = 12_000;

/**
 * Keeps two runs out of one batch folder. The lock of a process of this machine that died counts for nothing;
 * of another machine or container it does until it was silent for two minutes.
 *
 * @throws GoodgateError `folder-busy`, `interrupted`, `cannot-write`, `disk-full`.
 */
export async function lockFolder(folder: string, signal: AbortSignal): Promise<Lock> {
  try {
    return await takeLock(below(folder, LOCKS_FOLDER), PLAN_FILE, {
      ...{ signal, patienceMs: PATIENCE_MS },
      onWait: (holder) => say(`waiting: another goodgate is working in this folder (${holder})`),
    });
  } catch (error) {
    if (!(error instanceof GoodgateError) || error.code !== 'folder-busy') throw error;
    throw new GoodgateError('folder-busy', {
      what: error.what.replace('works there', 'is working in this folder'),
      where: folder,
      next: 'wait for it, stop it, or give this run another folder with --out',
    });
  }
}
