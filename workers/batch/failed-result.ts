import { GoodgateError } from '../../jobs/errors.js';
import type { BatchClip } from '../../jobs/plan/batch.js';
import type { PlannedJob } from '../../jobs/plan/plan.js';
import { below, resultFile } from './folder.js';
import { writeJson } from './write-whole.js';

/** @param by who cancelled it, such as `anna on cart` */
export function cancelledError(by: string): GoodgateError {
  return new GoodgateError('cancelled', {
    what: `cancelled by ${by}`,
    next: 'goodgate retry with the batch and the clip does it after all',
  });
}

/**
 * What a clip leaves that is not done: why, and no document.
 *
 * @throws GoodgateError `disk-full`, `cannot-write`
 */
export async function writeFailureResult(
  out: string,
  { id, clip }: Pick<PlannedJob, 'id'> & { readonly clip: Pick<PlannedJob['clip'], 'name' | 'slate'> },
  { code, message, next }: GoodgateError,
): Promise<void> {
  const result: BatchClip = {
    ...{ name: clip.name, job: id, state: 'failed', original: null, items: [] },
    ...{ error: { code, what: message, next: next ?? null }, seconds: null, run: null, wasThere: false },
    bytesAsBefore: null,
    slate: clip.slate ?? null,
  };
  await writeJson(below(out, resultFile(id)), result);
}
