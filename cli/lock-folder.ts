import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import lockfile from 'proper-lockfile';
import { GoodgateError } from '../jobs/errors.js';
import { writeFailure } from '../workers/batch/write-whole.js';

/**
 * Keeps two runs out of one batch folder. The lock of a process that died is stale after ten seconds.
 *
 * @returns a function that gives the folder free; safe to call twice
 * @throws GoodgateError `folder-busy`, `cannot-write`, `disk-full`.
 */
export async function lockFolder(folder: string): Promise<() => Promise<void>> {
  await mkdir(folder, { recursive: true }).catch((error: unknown) => {
    throw writeFailure(folder, error);
  });
  try {
    const release = await lockfile.lock(folder, {
      lockfilePath: join(folder, '.lock'),
      stale: 10_000,
      update: 3_000,
      retries: { retries: 12, factor: 1, minTimeout: 1_000, maxTimeout: 1_000 },
      // A suspended laptop wakes up with a lost lock; outputs are written under names of their own, so going
      // on is safe.
      onCompromised: () => undefined,
    });
    return () => release().catch(() => undefined);
  } catch (error) {
    if (error instanceof Error && 'code' in error && error.code === 'ELOCKED') {
      throw new GoodgateError('folder-busy', {
        what: 'another goodgate is working in this folder',
        where: folder,
        next: 'wait for it, stop it, or give this run another folder with --out',
      });
    }
    throw writeFailure(folder, error);
  }
}
