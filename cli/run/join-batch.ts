import { join } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';
import type { Batch } from '../../jobs/plan/batch.js';
import type { Plan } from '../../jobs/plan/plan.js';
import { firstOf } from '../../jobs/words/numbers.js';
import { joinPlans } from '../../planner/join-plans.js';
import { readBatch } from '../../workers/batch/assemble.js';

/** What was asked for, and what the batch of its folder comes to with it. */
export interface JoinedBatch {
  readonly plan: Plan;
  readonly unreadable: Batch['unreadable'];
  /** Ids of jobs of other manifests, which stay as they are. */
  readonly kept: ReadonlySet<string>;
  readonly asked: { readonly plan: Plan; readonly unreadable: Batch['unreadable'] };
}

/**
 * Brings a plan into the batch that its folder holds, of which nothing is lost.
 *
 * @param earlier the plan of the folder; null: it holds none, or is given to this plan
 * @param source the manifest or folder that was planned, and the folder that its clips lie in within the
 * batch, with `/` at its end
 * @throws GoodgateError `folder-taken` where two clips would have one name
 */
export async function joinBatch(
  earlier: Plan | null,
  { plan, unreadable }: JoinedBatch['asked'],
  { input: from, place }: { readonly input: string; readonly place: string },
): Promise<JoinedBatch> {
  const told = new Set([
    ...plan.jobs.map(({ clip }) => clip.path),
    ...[...plan.refused, ...plan.skipped].map(({ clip }) => join(plan.root, clip)),
    ...unreadable.map(({ file }) => join(plan.root, file)),
  ]);
  const asked = {
    plan: {
      ...plan,
      refused: plan.refused.map((each) => ({ ...each, clip: place + each.clip, from })),
      skipped: plan.skipped.map((each) => ({ ...each, clip: place + each.clip, from })),
      manifests: [from],
      soundApart: plan.soundApart.map((each) => ({
        ...{ file: place + each.file, words: each.words, laidInto: each.laidInto, from },
        beside: each.beside.map((clip) => place + clip),
      })),
    },
    unreadable: unreadable.map((each) => ({ ...each, file: place + each.file, from })),
  };
  if (earlier === null) return { ...asked, kept: new Set(), asked };
  const unread = asked.unreadable.map(({ file }) => ({ clip: file, target: null }));
  const joined = joinPlans(earlier, asked.plan, told, from, unread);
  if (joined.clashes.length > 0) {
    throw new GoodgateError('folder-taken', {
      what: `the batch in this folder has other clips, or outputs, of these names: ${firstOf(joined.clashes, 3)}`,
      where: plan.out,
      next: 'give another folder with --out, or the card another name; --replace gives this folder to the plan: its report then tells of no other clip',
    });
  }
  const { left } = joined.plan;
  if (joined.kept.size === 0) return { ...asked, plan: { ...asked.plan, left }, kept: joined.kept, asked };
  const names = new Set([
    ...joined.plan.jobs.map(({ clip }) => clip.name),
    ...asked.unreadable.map(({ file }) => file),
  ]);
  const before = (await readBatch(plan.out))?.unreadable ?? [];
  const others = before.filter((each) => each.from !== from && !names.has(each.file));
  return { plan: joined.plan, unreadable: [...others, ...asked.unreadable], kept: joined.kept, asked };
}
