import type { Plan, PlannedJob, PlannedOutput } from '../plan/plan.js';
import type { Experience } from './experience.js';
import { type Fit, fitPairs } from './fit.js';
import { makingOf, measuringOf, type Reckoned, restOf, sizeOf, wholeOf } from './kinds.js';
import { modelPlanned } from './modelled.js';

/** A figure corrected by finished work, and by how many pieces of it. */
interface Corrected {
  readonly value: number;
  readonly pieces: number;
}

class Corrections {
  readonly #experience: Experience;
  /** A plan of thousands of clips has few kinds. */
  readonly #fits = new Map<string, Fit | null>();

  constructor(experience: Experience) {
    this.#experience = experience;
  }

  /** Null where too little is known of the kind. */
  of({ kind, reckoned }: Reckoned): Corrected | null {
    let known = this.#fits.get(kind);
    if (known === undefined) {
      known = fitPairs(this.#experience.kinds[kind] ?? []);
      this.#fits.set(kind, known);
    }
    return known === null ? null : { value: known.predict(reckoned), pieces: known.pairs };
  }
}

/**
 * A plan with sizes and times as finished work of this site came out, where there is any of the same kind;
 * the rest stays as the figures of the codecs have it. `estimate.by` says by how many pieces of finished work
 * each figure was corrected. Neither keys nor ids change. Pure.
 */
export function correctPlan(plan: Plan, experience: Experience): Plan {
  const corrections = new Corrections(experience);
  const jobs = plan.jobs.map((job) => correctJob(job, corrections));
  const all = jobs.map(({ estimate }) => estimate.seconds);
  return {
    ...plan,
    jobs,
    totals: {
      ...plan.totals,
      bytes: jobs.reduce(
        (sum, { outputs }) => sum + outputs.reduce((of, { estimate }) => of + estimate.bytes, 0),
        0,
      ),
      workSeconds: all.reduce((sum, seconds) => sum + seconds, 0),
      wallSeconds: wallSeconds(all, plan.totals.workers),
    },
  };
}

function correctJob(job: PlannedJob, corrections: Corrections): PlannedJob {
  const outputs = job.outputs.map((output) => correctOutput(output, job.clip, corrections));
  const time = timeOf(job, corrections);
  const estimate = time === null ? job.estimate : { seconds: time.value, by: time.pieces };
  return { ...job, outputs, estimate };
}

function correctOutput(
  output: PlannedOutput,
  clip: PlannedJob['clip'],
  corrections: Corrections,
): PlannedOutput {
  const size = corrections.of(sizeOf(output, clip));
  if (size === null) return output;
  const bytes = Math.round(size.value + modelPlanned(output, clip).soundBytes);
  return { ...output, estimate: { ...output.estimate, bytes, by: size.pieces } };
}

/** By the parts of the job where each is known, else by whole jobs of any kind. */
function timeOf(job: PlannedJob, corrections: Corrections): Corrected | null {
  const { clip, outputs } = job;
  const parts = [
    corrections.of(makingOf(outputs, clip)),
    ...outputs.map((output) => corrections.of(measuringOf(output, clip))),
    corrections.of(restOf(job)),
  ];
  const known = parts.flatMap((part) => part ?? []);
  if (known.length < parts.length) return corrections.of(wholeOf(job));
  return {
    value: known.reduce((sum, { value }) => sum + value, 0),
    pieces: Math.min(...known.map(({ pieces }) => pieces)),
  };
}

/** Seconds until all are done that are begun in this order, each by whoever is free first. Pure. */
export function wallSeconds(seconds: readonly number[], workers: number): number {
  const free: number[] = new Array(Math.max(1, Math.min(workers, seconds.length))).fill(0);
  for (const each of seconds) {
    const next = free.indexOf(Math.min(...free));
    free[next] = (free[next] ?? 0) + each;
  }
  return Math.max(...free);
}
