import { stat } from 'node:fs/promises';
import { GoodgateError } from '../jobs/errors.js';
import type { ClipFacts } from '../jobs/manifest/facts.js';

/**
 * A file that changed since it was looked at is another file: its facts, estimates and keys are not its own.
 *
 * @throws GoodgateError `missing-file`, `clip-changed`.
 */
export async function requireUnchanged(
  path: string,
  { bytes, modified }: Pick<ClipFacts, 'bytes' | 'modified'>,
): Promise<void> {
  const now = await stat(path).catch((error: unknown) => {
    throw new GoodgateError('missing-file', {
      what: 'the clip is not there any more',
      where: path,
      next: 'check that its card or volume is mounted here, then run the batch again',
      cause: error,
    });
  });
  if (now.size !== bytes || now.mtime.toISOString() !== modified) {
    throw new GoodgateError('clip-changed', {
      what: `the clip changed since it was scanned (${bytes} bytes then, ${now.size} now)`,
      where: path,
      next: 'let the copy finish, then scan and run again',
    });
  }
}
