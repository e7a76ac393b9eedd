import { z } from 'zod';
import { piecesOf } from '../documents/pieces.js';
import { type Plan, type PlannedJob, plan, plannedClip, plannedJob, plannedOutput } from './plan.js';
import {
  joinFacts,
  ownFacts,
  ownRecipe,
  type PlanKinds,
  planKinds,
  splitFacts,
  splitRecipe,
} from './plan-kinds.js';

const place = z.number().int().nonnegative();

const storedJob = plannedJob.extend({
  clip: plannedClip.omit({ facts: true, colour: true }).extend({ kind: place, own: ownFacts }),
  outputs: z
    .array(
      plannedOutput
        .omit({ recipe: true, require: true, losses: true })
        .extend({ recipe: place, own: ownRecipe, require: place, losses: place }),
    )
    .max(100),
  judge: z.array(plannedJob.shape.judge.element.extend({ require: place })).max(100),
});
type StoredJob = z.infer<typeof storedJob>;

/**
 * A plan as it stands in `plan.json`, and as `goodgate plan --json` prints it: what many clips have in common
 * stands once, in `kinds`, and each job takes a line.
 */
export const storedPlan = plan.omit({ jobs: true }).extend({ kinds: planKinds, jobs: z.array(storedJob) });

const head = storedPlan.extend({ jobs: z.array(z.never()) });

/** So many jobs are written at once. */
const JOBS_AT_ONCE = 500;

/**
 * The text of a plan's document, in pieces.
 *
 * @param more what is told beside the plan
 */
export function* storedPlanText(planned: Plan, more: Record<string, unknown> = {}): Generator<string> {
  const { schema, id, title, root, joined, out, jobs, ...rest } = planned;
  const kinds = new KindLists();
  yield `${opened({ schema, id, title, root, joined, out })},\n  "jobs": [`;
  for (let from = 0; from < jobs.length; from += JOBS_AT_ONCE) {
    const some = jobs.slice(from, from + JOBS_AT_ONCE).map((job) => JSON.stringify(packed(job, kinds)));
    yield `${from === 0 ? '' : ','}\n    ${some.join(',\n    ')}`;
  }
  // Known only now.
  yield `\n  ],${opened({ kinds: kinds.lists, ...rest, ...more }).slice(1)}\n}\n`;
}

/** A map as JSON, without the bracket that closes it. */
function opened(map: Record<string, unknown>): string {
  return JSON.stringify(map, null, 2).slice(0, -2);
}

/** Lists in which equal values stand once. */
class KindLists {
  readonly lists: PlanKinds = { clips: [], recipes: [], require: [], losses: [] };
  private readonly places = {
    clips: new Map<string, number>(),
    recipes: new Map<string, number>(),
    require: new Map<string, number>(),
    losses: new Map<string, number>(),
  };

  place<K extends keyof PlanKinds>(name: K, value: PlanKinds[K][number]): number {
    const key = JSON.stringify(value);
    const before = this.places[name].get(key);
    if (before !== undefined) return before;
    const list: PlanKinds[K][number][] = this.lists[name];
    this.places[name].set(key, list.length);
    return list.push(value) - 1;
  }
}

function packed(job: PlannedJob, kinds: KindLists): StoredJob {
  const { facts, colour, ...clip } = job.clip;
  const { kind, own } = splitFacts(facts);
  return {
    ...job,
    clip: { ...clip, kind: kinds.place('clips', { facts: kind, colour }), own },
    outputs: job.outputs.map(({ recipe, require, losses, ...output }) => {
      const split = splitRecipe(recipe);
      return {
        ...output,
        recipe: kinds.place('recipes', split.kind),
        own: split.own,
        require: kinds.place('require', require),
        losses: kinds.place('losses', losses),
      };
    }),
    judge: job.judge.map(({ target, require }) => ({ target, require: kinds.place('require', require) })),
  };
}

/**
 * Reads the document job by job, checked against its schema: what jobs have in common is checked, and held,
 * once. Null for anything else.
 */
export function readStoredPlan(bytes: Uint8Array): Plan | null {
  try {
    return read(bytes);
  } catch {
    // No JSON.
    return null;
  }
}

function read(bytes: Uint8Array): Plan | null {
  const pieces = piecesOf(bytes, 'jobs');
  if (pieces === null || !pieces.isJson) return null;
  const text = (from: number, to: number): string => Buffer.from(bytes.subarray(from, to)).toString('utf8');
  const around = `${text(0, pieces.list.from)}[]${text(pieces.list.to, bytes.length)}`;
  const whole = head.safeParse(JSON.parse(around)).data;
  if (whole === undefined) return null;
  const { kinds, ...rest } = whole;
  const jobs: PlannedJob[] = [];
  for (const { from, to } of pieces.entries) {
    const stored = storedJob.safeParse(JSON.parse(text(from, to))).data;
    const job = stored === undefined ? null : unpacked(stored, kinds);
    if (job === null) return null;
    jobs.push(job);
  }
  return { ...rest, jobs };
}

/** Null where a job speaks of what is not there. */
function unpacked({ clip: { kind, own, ...clip }, ...job }: StoredJob, kinds: PlanKinds): PlannedJob | null {
  const common = kinds.clips[kind];
  const facts = common === undefined ? null : joinFacts(common.facts, own);
  if (common === undefined || facts === null) return null;
  const outputs: PlannedJob['outputs'] = [];
  for (const { recipe, own, require, losses, ...output } of job.outputs) {
    const [shared, required, lost] = [kinds.recipes[recipe], kinds.require[require], kinds.losses[losses]];
    if (shared === undefined || required === undefined || lost === undefined) return null;
    outputs.push({ ...output, recipe: { ...shared, ...own }, require: required, losses: lost });
  }
  const judge: PlannedJob['judge'] = [];
  for (const { target, require } of job.judge) {
    const required = kinds.require[require];
    if (required === undefined) return null;
    judge.push({ target, require: required });
  }
  return { ...job, clip: { ...clip, facts, colour: common.colour }, outputs, judge };
}
