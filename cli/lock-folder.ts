import { GoodgateError } from '../jobs/errors.js';
import { below, LOCKS_FOLDER, PLAN_FILE } from '../workers/batch/folder.js';
import { type Lock, takeLock } from '../workers/batch/lock.js';
import type { Prepared } from './prepare-plan.js';
import { say } from './print.js';
import { planMark } from './run/earlier-plan.js';

/** Whoever waits for a whole night is told from time to time. */
const REMIND_MS = 5 * 60_000;

/**
 * Keeps two runs out of one batch folder. The lock of a process of this machine that died counts for
 * nothing; of another machine or container it does until it was silent for two minutes. Whoever holds it
 * is waited for, however long that takes, unless `signal` ends it.
 *
 * @param patienceMs for who has other things to do meanwhile
 * @throws GoodgateError `folder-busy` after that time, `interrupted`, `cannot-write`, `disk-full`.
 */
export async function lockFolder(folder: string, signal: AbortSignal, patienceMs?: number): Promise<Lock> {
  try {
    return await takeLock(below(folder, LOCKS_FOLDER), PLAN_FILE, {
      ...{ signal, patienceMs, remindMs: REMIND_MS },
      onWait: (holder) =>
        say(`waiting until another goodgate is done in this folder (${holder}); Ctrl-C ends the wait`),
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

/**
 * The same for a plan that is to be done in its folder. What another run brought into the batch since the
 * plan was made is joined as well.
 *
 * @returns the plan as it is to be done
 * @throws GoodgateError as `lockFolder`; `folder-taken` where the two cannot be one batch
 */
export async function lockPlan(
  prepared: Prepared,
  signal: AbortSignal,
): Promise<{ readonly lock: Lock; readonly prepared: Prepared }> {
  const { out } = prepared.plan;
  const lock = await lockFolder(out, signal);
  try {
    const isAsSeen = (await planMark(out)) === prepared.earlierMark;
    return { lock, prepared: isAsSeen ? prepared : await prepared.again() };
  } catch (error) {
    await lock.release();
    throw error;
  }
}
