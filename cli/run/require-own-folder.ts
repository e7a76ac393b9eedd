import { stat } from 'node:fs/promises';
import { dirname } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';
import type { Plan } from '../../jobs/plan/plan.js';
import { count } from '../../jobs/words/numbers.js';
import { earlierPlan } from './earlier-plan.js';

/** Two paths to one folder, by links, mounts or another case, are told by what the file system says it is. */
async function isSameFolder(a: string, b: string): Promise<boolean> {
  const [one, other] = await Promise.all([a, b].map((path) => stat(path).catch(() => null)));
  return !!one && !!other && one.dev === other.dev && one.ino === other.ino;
}

/**
 * No original lies in the batch folder: an output could take its place, and the folder, which `scan` leaves
 * out, would hide it.
 *
 * @throws GoodgateError `folder-taken`.
 */
export async function requireNoOriginalIn(out: string, originals: readonly string[]): Promise<void> {
  const known = new Set<string>();
  for (const original of originals) {
    for (let at = dirname(original); !known.has(at); at = dirname(at)) {
      known.add(at);
      if (!(await isSameFolder(at, out))) continue;
      throw new GoodgateError('folder-taken', {
        what: `originals lie in the folder that the outputs are to go to: ${original}`,
        where: out,
        next: 'give another folder with --out, beside the card or one of its own below it',
      });
    }
  }
}

/**
 * Clips of the earlier plan that are lost: where each was is another file by size and time, or it is in no
 * list of the new plan.
 */
function lostClips(earlier: Plan, { plan, kept, unreadable }: PlannedHere): string[] {
  const told = new Set([
    ...[...plan.refused, ...plan.skipped].map(({ clip }) => clip),
    ...unreadable.map(({ file }) => file),
  ]);
  const now = new Map(plan.jobs.map(({ clip }) => [clip.path, clip]));
  const isSameFile = ({ clip: { path, facts } }: Plan['jobs'][number]): boolean => {
    const again = now.get(path)?.facts;
    return again?.bytes === facts.bytes && again.modified === facts.modified;
  };
  const others = earlier.jobs.filter(({ id }) => !kept.has(id));
  // A card is known by a clip that is the same; another card at the same mount point has none.
  const isSameCard = others.some(isSameFile);
  return others
    .filter((job) => {
      if (isSameFile(job)) return false;
      return !((isSameCard && now.has(job.clip.path)) || told.has(job.clip.name));
    })
    .map(({ clip }) => clip.path);
}

export interface PlannedHere {
  readonly plan: Plan;
  /** Ids of jobs of other manifests. */
  readonly kept: ReadonlySet<string>;
  readonly unreadable: readonly { readonly file: string }[];
}

/**
 * A batch folder holds one batch, which may grow and change but loses no clip: another card at the place of
 * the first would take the names of its outputs, and its report would say nothing of them.
 *
 * @param replace a person said that the folder is to be this batch's
 * @throws GoodgateError `folder-taken`.
 */
export async function requireSameBatch(here: PlannedHere, replace: boolean): Promise<void> {
  const { out } = here.plan;
  if (replace) return;
  const earlier = await earlierPlan(out);
  if (earlier === null) return;
  const lost = lostClips(earlier, here);
  if (lost.length === 0) return;
  const which = `${lost.slice(0, 3).join(', ')}${lost.length > 3 ? ', ...' : ''}`;
  throw new GoodgateError('folder-taken', {
    what: `the folder holds a batch with ${count(lost.length, 'clip')} where another file lies now, or that came into it just now: ${which}`,
    where: out,
    next: 'was it another command, call this again; is it another card at the same place, give another folder with --out, or mount each card under its own name; --replace gives the folder to this plan: its report then tells of no other clip, and outputs of the same names are replaced',
  });
}
