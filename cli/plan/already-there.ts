import { isDeepStrictEqual } from 'node:util';
import { sequenceName } from '../../jobs/manifest/sequence-path.js';
import type { Batch, SinceJudged } from '../../jobs/plan/batch.js';
import type { LeftOutput, OutputRecipe, PlannedJob, PlannedOutput } from '../../jobs/plan/plan.js';
import { count, firstOf } from '../../jobs/words/numbers.js';
import { bytes } from '../../jobs/words/quantities.js';
import { atOnce } from '../../workers/at-once.js';
import { readBatch, readPlan, readResults } from '../../workers/batch/assemble.js';
import { sinceJudged } from '../../workers/batch/since-judged.js';
import type { Prepared } from '../prepare-plan.js';

/** Why an output will be made, or null: it is there. */
export interface OutputStanding {
  readonly clip: string;
  readonly target: string;
  readonly bytes: number;
  readonly why: 'new' | 'not made yet' | SinceJudged | { readonly changed: readonly string[] } | null;
}

/** Looking at files over a network waits more than it computes. */
const LOOKS_AT_ONCE = 32;

/**
 * How each output that was asked for stands to the batch that its folder holds; null where it holds none.
 * Reads the folder's documents and looks at the files; what is planned as before, and lies there as it was
 * when it was judged, counts as there.
 */
export async function standingOfOutputs(prepared: Prepared): Promise<OutputStanding[] | null> {
  const { plan } = prepared.asked;
  const [earlier, batch] = await Promise.all([readPlan(plan.out), readBatch(plan.out)]);
  if (earlier === null) return null;
  const results = await readResults({ out: plan.out, jobs: earlier.jobs });
  const before = new Map(
    earlier.jobs.map((job, index) => [job.clip.path, { job, result: results[index] ?? null }]),
  );
  const software = changedSoftware(batch, prepared);
  const outputs = plan.jobs.flatMap((job) => job.outputs.map((output) => ({ job, output })));
  return atOnce(LOOKS_AT_ONCE, outputs, async ({ job, output }) => {
    const had = before.get(job.clip.path);
    const earlierOutput = had?.job.outputs.find(({ path }) => path === output.path);
    const named = { clip: job.clip.name, target: output.target, bytes: output.estimate.bytes };
    if (had === undefined || earlierOutput === undefined) return { ...named, why: 'new' };
    if (earlierOutput.key !== output.key) {
      const changed = whatChanged({ job: had.job, output: earlierOutput }, { job, output });
      return { ...named, why: { changed: changed.length > 0 ? changed : software } };
    }
    const item = had.result?.items.find((each) => each.kind === 'output' && each.path === output.path);
    if (item === undefined || item.bytes === null) return { ...named, why: 'not made yet' };
    return { ...named, why: await sinceJudged(plan.out, item) };
  });
}

/** What else than clip and recipe is in the key of an output. */
function changedSoftware(batch: Batch | null, { version, capabilities }: Prepared): string[] {
  const { goodgate, ffmpeg } = batch?.method ?? {};
  const changed = [
    ...(goodgate === version ? [] : ['version of goodgate']),
    ...(ffmpeg === capabilities.ffmpegVersion ? [] : ['version of ffmpeg']),
  ];
  return changed.length > 0 ? changed : ['content of the look'];
}

interface Planned {
  readonly job: PlannedJob;
  readonly output: PlannedOutput;
}

/** Which inputs of an output differ, in words. Pure. */
export function whatChanged(before: Planned, now: Planned): string[] {
  const [was, is] = [before.job.clip.facts, now.job.clip.facts];
  const isSameFile = was.bytes === is.bytes && was.modified === is.modified;
  return [
    ...(isSameFile ? [] : ['the clip itself']),
    ...recipeChanges(before.output.recipe, now.output.recipe),
  ];
}

const WORDS: Readonly<Partial<Record<keyof OutputRecipe, string>>> = {
  video: 'codec',
  raster: 'size',
  sampleAspect: 'sample aspect',
  deinterlace: 'deinterlacing',
  frameRate: 'frame rate',
  sourceScan: 'scan',
  sourceColour: 'colour of the clip',
  colour: 'colour of the output',
  hdr: 'HDR metadata',
  burnIn: 'burn-in',
  carry: 'what is carried over',
  audio: 'sound',
};

function recipeChanges(was: OutputRecipe, is: OutputRecipe): string[] {
  const keys = Object.keys(is) as (keyof OutputRecipe)[];
  // Keys of what was read stand in another order.
  const differs = (a: unknown, b: unknown): boolean => !isDeepStrictEqual(a, b);
  const changed = keys.flatMap((key) => {
    if (!differs(was[key], is[key])) return [];
    if (key !== 'rendering') return WORDS[key] ?? key;
    const [from, to] = [was.rendering, is.rendering];
    const parts = [
      ...(differs(from?.look ?? null, to?.look ?? null) ? ['look'] : []),
      ...((from?.exposure ?? 0) === (to?.exposure ?? 0) ? [] : ['exposure']),
    ];
    return parts.length > 0 ? parts : ['rendering'];
  });
  return [...new Set(changed)];
}

const NAMES = 3;

/** What the folder of a plan holds already, for a person: one line for each target and reason. */
export function alreadyThereLines(
  standings: readonly OutputStanding[],
  kept: number,
  left: readonly LeftOutput[],
): string[] {
  const groups = new Map<string, OutputStanding[]>();
  for (const each of standings) {
    const key = `${reasonOf(each)}${each.why === null ? '' : `, ${each.target}`}`;
    const group = groups.get(key);
    if (group === undefined) groups.set(key, [each]);
    else group.push(each);
  }
  const lines = [...groups].map(([reason, all]) => {
    const names = firstOf(
      // One clip may have several of them.
      [...new Set(all.map(({ clip }) => clip))],
      NAMES,
    );
    return `${reason}: ${count(all.length, 'output')} (${names})`;
  });
  const missing = standings.filter(({ why }) => why !== null && why !== 'touched');
  const size = missing.reduce((sum, each) => sum + each.bytes, 0);
  return [
    ...lines,
    ...(standings.length === 0
      ? []
      : [
          `left to make: ${missing.length} of ${count(standings.length, 'output')}${missing.length === 0 ? '' : `, about ${bytes(size)}`}`,
        ]),
    ...leftLines(left),
    ...(kept === 0 ? [] : [`of other manifests: ${count(kept, 'clip')}, which stay as they are`]),
  ];
}

/** Files in the folder that this plan does not make, in a line for each reason where there are any. */
export function leftLines(left: readonly LeftOutput[]): string[] {
  const of = (why: LeftOutput['why']): LeftOutput[] => left.filter((each) => each.why === why);
  return [
    ...leftLine('asked for, and cannot be made now: of earlier plans', of('refused')),
    ...leftLine('no longer asked for:', of('not-asked')),
  ];
}

function leftLine(what: string, left: readonly LeftOutput[]): string[] {
  if (left.length === 0) return [];
  const names = firstOf(
    left.map(({ path }) => path),
    NAMES,
  );
  const sequences = left.filter(({ path }) => sequenceName(path) !== null).length;
  const files = [
    ...(sequences === left.length ? [] : [count(left.length - sequences, 'file')]),
    ...(sequences === 0 ? [] : [count(sequences, 'picture sequence')]),
  ].join(' and ');
  return [`${what} ${files}, which nothing judges or deletes (${names})`];
}

const REASONS: Readonly<Record<Extract<OutputStanding['why'], string>, string>> = {
  new: 'to be made, new',
  'not made yet': 'to be made, not made yet',
  gone: 'to be made again, gone since it was judged',
  changed: 'to be made again, changed since it was judged',
  touched: 'to be measured again, touched since it was judged',
};

function reasonOf({ why }: OutputStanding): string {
  if (why === null) return 'there already, from the same clip by the same recipe';
  if (typeof why === 'string') return REASONS[why];
  return `to be made again, changed: ${why.changed.join(', ')}`;
}
