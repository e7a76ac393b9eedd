import { lstat } from 'node:fs/promises';
import { GoodgateError } from '../../jobs/errors.js';
import type { Plan } from '../../jobs/plan/plan.js';
import { readPlan } from '../../workers/batch/assemble.js';
import { below, PLAN_FILE } from '../../workers/batch/folder.js';

/**
 * The plan of the batch that a folder holds; null where it holds none.
 *
 * @throws GoodgateError `folder-taken` where it holds one that cannot be read: nobody knows what would be
 * lost
 */
export async function earlierPlan(out: string): Promise<Plan | null> {
  const earlier = await readPlan(out);
  if (earlier !== null || (await planMark(out)) === null) return earlier;
  throw new GoodgateError('folder-taken', {
    what: `the folder holds a batch whose ${PLAN_FILE} cannot be read`,
    where: out,
    next: 'give another folder with --out; goodgate run or submit with --replace gives this one to the plan',
  });
}

/** What tells one `plan.json` of a folder from the next, without reading it; null where there is none. */
export async function planMark(out: string): Promise<string | null> {
  const there = await lstat(below(out, PLAN_FILE), { bigint: true }).catch(() => null);
  return there === null ? null : `${there.ino} ${there.mtimeNs} ${there.size}`;
}
