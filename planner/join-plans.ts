import { foldedPath } from '../jobs/documents/folded-path.js';
import type { LeftOutput, Plan, PlannedJob, Refusal } from '../jobs/plan/plan.js';
import { contentKey } from './content-key.js';
import { stemOf } from './output-path.js';

/** How the clips of a manifest are called in a batch that has others already. */
export interface Naming {
  /** Clips that the batch has, by their path, as they are called in it. */
  readonly known: ReadonlyMap<string, string>;
  /** Folder before the names of the others, with `/` at its end; empty: none is needed. */
  readonly place: string;
}

/** Clips of a manifest: their absolute path, and their path below its root. */
export type NamedClip = { readonly path: string; readonly file: string };

/**
 * Names for the clips of a manifest that joins a batch. A clip of the batch keeps its name. Where another's
 * would be that of a clip of the batch, or its outputs', all of this card lie in a folder of its name. Pure.
 *
 * @param card name of the folder that the manifest's paths start from
 */
export function namingIn(earlier: Plan, clips: readonly NamedClip[], card: string): Naming {
  const called = new Map(earlier.jobs.map(({ clip }) => [clip.path, clip.name]));
  const known = new Map<string, string>();
  const others: NamedClip[] = [];
  let place: string | null = null;
  for (const clip of clips) {
    const name = called.get(clip.path);
    if (name === undefined) others.push(clip);
    else {
      known.set(clip.path, name);
      if (name === clip.file) place ??= '';
      else if (name.endsWith(`/${clip.file}`)) place ??= name.slice(0, -clip.file.length);
    }
  }
  const taken = new Set(earlier.jobs.map(({ clip }) => foldedPath(stemOf(clip.name))));
  const isFree = others.every(({ file }) => !taken.has(foldedPath(stemOf(file))));
  return { known, place: place ?? (isFree ? '' : `${card}/`) };
}

/** A batch with what joined it. */
export interface JoinedPlan {
  readonly plan: Plan;
  /** Jobs that were there and that this submission says nothing of. */
  readonly kept: ReadonlySet<string>;
  /** Names that two clips would have, or their outputs; nothing is joined where there is one. */
  readonly clashes: readonly string[];
}

/**
 * The plan of a batch folder when another manifest is submitted into it: the jobs that were there, with
 * those of the manifest in their place or behind them. Pure.
 *
 * @param told absolute paths of all that the manifest names, also of what cannot be made or read
 * @param input absolute path of the manifest, or of the folder
 * @param unreadable clips of the manifest of which nothing can be made, for they cannot be read
 */
export function joinPlans(
  earlier: Plan,
  added: Plan,
  told: ReadonlySet<string>,
  input: string,
  unreadable: readonly Unmade[] = [],
): JoinedPlan {
  const again = new Map(added.jobs.map((job) => [job.clip.path, job]));
  const jobs: PlannedJob[] = [];
  const kept = new Set<string>();
  for (const job of earlier.jobs) {
    const now = again.get(job.clip.path);
    again.delete(job.clip.path);
    if (now !== undefined) jobs.push(now);
    else if (!told.has(job.clip.path)) {
      jobs.push(job);
      kept.add(job.id);
    }
  }
  jobs.push(...again.values());
  const left = leftOf(earlier, jobs, [...added.refused, ...unreadable]);
  if (kept.size === 0) return { plan: { ...added, left }, kept, clashes: [] };
  const names = new Set(jobs.map(({ clip }) => clip.name));
  const roots = new Set([earlier.root, ...earlier.joined, added.root, ...added.joined]);
  const [root = added.root, ...joined] = roots;
  const plan: Plan = {
    ...added,
    id: contentKey({ jobs: jobs.map(({ id }) => id), out: added.out }),
    title: earlier.title.includes(added.title) ? earlier.title : `${earlier.title} + ${added.title}`,
    ...{ root, joined, jobs, left },
    refused: [
      ...earlier.refused.filter(({ clip, from }) => from !== input && !names.has(clip)),
      ...added.refused,
    ],
    skipped: [
      ...earlier.skipped.filter(({ clip, from }) => from !== input && !names.has(clip)),
      ...added.skipped,
    ],
    soundApart: [...earlier.soundApart.filter(({ from }) => from !== input), ...added.soundApart],
    manifests: [...new Set([...earlier.manifests, ...added.manifests])],
    notes: [...keptNotes(earlier, kept), ...added.notes],
    targetFiles: { ...earlier.targetFiles, ...added.targetFiles },
    totals: totalsOf(jobs, added.totals.workers),
  };
  return { plan, kept, clashes: clashesOf(jobs) };
}

/** A clip, or one output of it; null: all of its outputs. */
type Unmade = Pick<Refusal, 'clip' | 'target'>;

/**
 * Outputs that were planned and have no place among these jobs any more: a target was taken away, or a clip;
 * or they are asked for, and cannot be made. Pure.
 *
 * @param unmade what is asked for and is not planned
 */
export function leftOf(earlier: Plan, jobs: readonly PlannedJob[], unmade: readonly Unmade[]): Plan['left'] {
  const planned = new Set(jobs.flatMap(({ outputs }) => outputs.map(({ path }) => foldedPath(path))));
  const before = earlier.jobs.flatMap(({ clip, outputs }) =>
    outputs.map(({ target, path }) => ({ clip: clip.name, target, path })),
  );
  const all = new Map([...earlier.left, ...before].map((each) => [foldedPath(each.path), each]));
  const isRefused = (output: Omit<LeftOutput, 'why'>): boolean =>
    unmade.some(({ clip, target }) => clip === output.clip && (target ?? output.target) === output.target);
  return [...all].flatMap(([path, each]) =>
    planned.has(path) ? [] : { ...each, why: isRefused(each) ? 'refused' : 'not-asked' },
  );
}

/** Notes on a clip begin with its name. */
function keptNotes({ jobs, notes }: Plan, kept: ReadonlySet<string>): string[] {
  const names = new Set(jobs.filter(({ id }) => kept.has(id)).map(({ clip }) => clip.name));
  return notes.filter((note) => {
    for (let at = note.indexOf(': '); at >= 0; at = note.indexOf(': ', at + 1)) {
      if (names.has(note.slice(0, at))) return true;
    }
    return false;
  });
}

/** What two clips would both be called: themselves, or a file that is made of them. */
function clashesOf(jobs: readonly PlannedJob[]): string[] {
  const seen = new Set<string>();
  const clashes: string[] = [];
  for (const { clip, outputs } of jobs) {
    for (const name of [clip.name, ...outputs.map(({ path }) => path)]) {
      const folded = foldedPath(name);
      if (seen.has(folded)) clashes.push(name);
      seen.add(folded);
    }
  }
  return clashes;
}

/** Sums over the jobs of a plan, for so many at once. */
export function totalsOf(jobs: readonly PlannedJob[], workers: number): Plan['totals'] {
  const outputs = jobs.flatMap((job) => job.outputs);
  const workSeconds = jobs.reduce((sum, { estimate }) => sum + estimate.seconds, 0);
  const longest = jobs.reduce((most, { estimate }) => Math.max(most, estimate.seconds), 0);
  return {
    clips: jobs.length,
    outputs: outputs.length,
    bytes: outputs.reduce((sum, { estimate }) => sum + estimate.bytes, 0),
    workSeconds,
    wallSeconds: Math.max(longest, workSeconds / workers),
    workers,
  };
}
