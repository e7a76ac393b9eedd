import type { Redis } from 'ioredis';
import { GoodgateError } from '../../jobs/errors.js';
import type { Plan, PlannedJob } from '../../jobs/plan/plan.js';
import type { Submission } from '../../jobs/plan/submission.js';
import { readBatchEntries, readOpenRuns } from '../../jobs/queue/batch-entries.js';
import type { BatchEntry } from '../../jobs/queue/messages.js';
import { count } from '../../jobs/words/numbers.js';
import { readPlan, readSubmission } from '../../workers/batch/assemble.js';
import { batchesOnlyInFolders, findBatch } from './find-batch.js';
import { thisSubmitter } from './submitter.js';

/** A batch that somebody steers: as its folder has it, and as the server does. */
export interface SteeredBatch {
  readonly plan: Plan;
  readonly submission: Submission;
  /** Null: the server does not know this submission. */
  readonly entry: BatchEntry | null;
  /** Whether its report is still to be written, as far as the server knows. */
  readonly isOpen: boolean;
}

/**
 * Finds a batch by id or folder. Its folder has to be there: what people decide is written in it, so that no
 * server can lose it.
 *
 * @throws GoodgateError `unknown-batch`, `missing-file` (its folder cannot be seen, or holds another batch)
 */
export async function steeredBatch(wanted: string, stateFolder: string, redis: Redis): Promise<SteeredBatch> {
  const entries = await readBatchEntries(redis);
  const found = await findBatch(wanted, entries, await batchesOnlyInFolders(stateFolder, entries));
  const id = 'batch' in found ? found.batch : found.id;
  const [plan, submission] = await Promise.all([readPlan(found.out), readSubmission(found.out)]);
  if (plan === null || submission === null || plan.id !== id || submission.batch !== id) {
    throw new GoodgateError('missing-file', {
      what: `the folder does not hold batch ${id} here`,
      where: found.out,
      next: 'mount its volume at the same path, or call this where the batch was submitted; was another batch submitted into the folder, name that',
    });
  }
  const entry = entries.find((each) => each.id === id && each.run === submission.run) ?? null;
  const open = await readOpenRuns(redis);
  return { plan, submission, entry, isOpen: entry !== null && open.get(id) === entry.run };
}

/**
 * @throws GoodgateError `nothing-to-do` where the batch has ended, or the server does not know it or not all
 * of it
 */
export function requireOpen({ plan, entry, isOpen }: SteeredBatch): BatchEntry {
  if (entry !== null && isOpen) {
    if (entry.whole) return entry;
    throw new GoodgateError('nothing-to-do', {
      what: 'not all clips of the batch are on the queue',
      where: plan.out,
      next: 'call the same goodgate submit again: what is whole stays',
    });
  }
  throw new GoodgateError('nothing-to-do', {
    what: entry === null ? `this server does not know batch ${plan.id}` : `batch ${plan.id} has ended`,
    where: plan.out,
    next:
      entry === null
        ? 'name the server it was submitted on with --redis, or submit it again: what is whole stays'
        : 'goodgate status tells how; goodgate retry does again what failed',
  });
}

/**
 * The clips that are meant: one by its name, or by the end of it, or all.
 *
 * @throws GoodgateError `bad-option` where the name fits none, or several
 */
export function chosenClips({ jobs, out }: Plan, wanted: string | undefined): readonly PlannedJob[] {
  if (wanted === undefined) return jobs;
  const exact = jobs.filter(({ clip }) => clip.name === wanted || clip.path === wanted);
  const fits = exact.length > 0 ? exact : jobs.filter(({ clip }) => clip.name.endsWith(`/${wanted}`));
  if (fits.length === 1) return fits;
  throw new GoodgateError('bad-option', {
    what:
      fits.length === 0 ? `the batch has no clip ${wanted}` : `${wanted} fits ${count(fits.length, 'clip')}`,
    where: out,
    next: 'goodgate status with the batch lists its clips: give the name as it stands there',
  });
}

/** Who steers, as others are told. */
export function thisPerson(): string {
  const { user, host } = thisSubmitter();
  return `${user} on ${host}`;
}
