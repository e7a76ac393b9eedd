import { codecOfEncoder } from '../../jobs/codecs/picture-codecs.js';
import { wallSeconds } from '../../jobs/experience/correct.js';
import { makingOf } from '../../jobs/experience/kinds.js';
import type { Plan, PlannedJob } from '../../jobs/plan/plan.js';

/** How a plan stands to an hour by which it has to be done. */
export interface FitBy {
  /** Of all clips, in seconds from now. */
  readonly seconds: number;
  readonly fits: boolean;
  /** Names of clips that are not done by then, as they are begun in the order of `inOrder`. */
  readonly late: readonly string[];
  /** A target without which all clips are done by then, the one that takes the least time; null: none. */
  readonly without: string | null;
}

/**
 * Clips that matter most first: those of which something is made to be looked at (a proxy: a codec that keeps
 * what the eye sees), then the others; among equals the order of the manifest. Pure.
 */
export function inOrder(jobs: readonly PlannedJob[]): PlannedJob[] {
  const rank = ({ outputs }: PlannedJob): number =>
    outputs.some(({ recipe }) => codecOfEncoder(recipe.video.encoder).fidelity === 'seen') ? 0 : 1;
  return [...jobs].sort((a, b) => rank(a) - rank(b));
}

/**
 * Whether the clips of a plan are done in so many seconds, by its estimates and its jobs at once. Pure.
 */
export function fitBy({ jobs, totals: { workers } }: Plan, secondsLeft: number): FitBy {
  const ordered = inOrder(jobs);
  const free: number[] = new Array(Math.max(1, workers)).fill(0);
  const late: string[] = [];
  for (const { clip, estimate } of ordered) {
    const next = free.indexOf(Math.min(...free));
    free[next] = (free[next] ?? 0) + estimate.seconds;
    if ((free[next] ?? 0) > secondsLeft) late.push(clip.name);
  }
  const seconds = Math.max(...free);
  const fits = late.length === 0;
  return { seconds, fits, late, without: fits ? null : leftOut(ordered, workers, secondsLeft) };
}

function leftOut(jobs: readonly PlannedJob[], workers: number, secondsLeft: number): string | null {
  const targets = new Set(jobs.flatMap(({ outputs }) => outputs.map(({ target }) => target)));
  if (targets.size < 2) return null;
  const enough = [...targets].flatMap((target) => {
    const left = jobs.map((job) => secondsWithout(job, target));
    const saved = jobs.reduce((sum, { estimate }, index) => sum + estimate.seconds - (left[index] ?? 0), 0);
    return wallSeconds(left, workers) <= secondsLeft ? [{ target, saved }] : [];
  });
  return enough.sort((a, b) => a.saved - b.saved)[0]?.target ?? null;
}

/** By the work that is left, as the figures of the codecs have it. */
function secondsWithout({ clip, outputs, estimate }: PlannedJob, target: string): number {
  const left = outputs.filter((output) => output.target !== target);
  const all = makingOf(outputs, clip).reckoned;
  return all > 0 ? (estimate.seconds * makingOf(left, clip).reckoned) / all : estimate.seconds;
}
