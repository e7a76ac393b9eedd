import { readdir, stat } from 'node:fs/promises';
import { withPlainFile } from '../../jobs/documents/read-plain-file.js';
import { type Batch, type BatchClip, batch, batchClip } from '../../jobs/plan/batch.js';
import type { Plan } from '../../jobs/plan/plan.js';
import { readStoredPlan, storedPlanText } from '../../jobs/plan/stored-plan.js';
import { type Submission, submission } from '../../jobs/plan/submission.js';
import { atOnce } from '../at-once.js';
import {
  BATCH_FILE,
  below,
  PLAN_FILE,
  RESULTS_FOLDER,
  resultFile,
  SUBMISSION_FILE,
  wholeOf,
} from './folder.js';
import { readDocument } from './read-document.js';
import { writeJson, writeWhole } from './write-whole.js';

/** The plan a batch folder was made for; null when the folder holds none. */
export async function readPlan(out: string): Promise<Plan | null> {
  try {
    return readStoredPlan(await withPlainFile(below(out, PLAN_FILE), (file) => file.readFile()));
  } catch {
    return null;
  }
}

export async function writePlan(plan: Plan): Promise<void> {
  await writeWhole(below(plan.out, PLAN_FILE), storedPlanText(plan));
}

export function readBatch(out: string): Promise<Batch | null> {
  return readDocument(below(out, BATCH_FILE), batch);
}

export function readSubmission(out: string): Promise<Submission | null> {
  return readDocument(below(out, SUBMISSION_FILE), submission);
}

export function readResult(out: string, job: string): Promise<BatchClip | null> {
  return readDocument(below(out, resultFile(job)), batchClip);
}

/** Reading over a network waits more than it computes. */
export const READ_AT_ONCE = 16;

export interface AssembleOptions {
  readonly state: Batch['state'];
  readonly startedAt: string;
  readonly finishedAt: string | null;
  readonly unreadable: Batch['unreadable'];
  readonly method: Batch['method'];
  readonly before?: Batch['before'];
  /** An earlier state of the batch: how long clips took whose files are all there still. */
  readonly earlier?: Pick<Batch, 'clips'> | null;
  /** What to say of a clip without a result when the batch is over. */
  readonly lost: string;
}

/**
 * The batch as its folder shows it: the plan, and what is known of each clip. Results are one file per clip,
 * so workers on many machines never write the same file; this puts them together.
 */
export async function assembleBatch(planned: Plan, options: AssembleOptions): Promise<Batch> {
  const [results, submitted] = await Promise.all([readResults(planned), readSubmission(planned.out)]);
  const run = submitted?.run ?? null;
  const took = new Map(options.earlier?.clips.map(({ job, seconds }) => [job, seconds]));
  const clips = planned.jobs.map((job, index): BatchClip => {
    const found = results[index] ?? withoutResult(job, options);
    // What an earlier run did is there, as far as this one is concerned.
    const isOfEarlierRun = found.state === 'done' && found.run !== null && found.run !== run;
    const result = { ...found, wasThere: found.wasThere || isOfEarlierRun };
    const before = took.get(job.id) ?? null;
    const isOfBefore = before !== null && (result.wasThere || result.state === 'waiting');
    return isOfBefore ? { ...result, seconds: before } : result;
  });
  return {
    schema: 'goodgate/batch@1',
    id: planned.id,
    title: planned.title,
    state: options.state,
    startedAt: options.startedAt,
    finishedAt: options.finishedAt,
    clips,
    refused: planned.refused,
    skipped: planned.skipped,
    soundApart: planned.soundApart,
    manifests: planned.manifests,
    left: await thereOf(planned.out, planned.left),
    unreadable: options.unreadable,
    method: options.method,
    before: options.before ?? null,
    totals: null,
  };
}

/** Those of outputs that are planned no more of which a file lies there still. */
export async function thereOf(out: string, left: Plan['left']): Promise<Plan['left']> {
  const found = await atOnce(READ_AT_ONCE, left, async (output) =>
    (await stat(wholeOf(below(out, output.path))).catch(() => null)) === null ? [] : [output],
  );
  return found.flat();
}

/** What a batch says of a clip that left no result. */
function withoutResult({ id, clip }: Plan['jobs'][number], { state, lost }: AssembleOptions): BatchClip {
  const isOver = state === 'finished';
  const next = 'run the batch again: only this clip will be done';
  return {
    name: clip.name,
    job: id,
    state: isOver ? 'failed' : 'waiting',
    error: isOver ? { code: 'interrupted', what: lost, next } : null,
    original: null,
    items: [],
    seconds: null,
    run: null,
    wasThere: false,
    bytesAsBefore: null,
    slate: clip.slate ?? null,
  };
}

/** What became of each clip, in the order of the plan; null where nothing tells. */
export async function readResults({ out, jobs }: Pick<Plan, 'out' | 'jobs'>): Promise<(BatchClip | null)[]> {
  const there = await resultsIn(out);
  return atOnce(READ_AT_ONCE, jobs, async ({ id }) =>
    there.has(resultFile(id)) ? readResult(out, id) : null,
  );
}

/** Results that lie in a batch folder, by their path below it. */
export async function resultsIn(out: string): Promise<Set<string>> {
  const names = await readdir(below(out, RESULTS_FOLDER)).catch(() => []);
  return new Set(names.map((name) => `${RESULTS_FOLDER}/${name}`));
}

export async function writeBatch(out: string, document: Batch): Promise<void> {
  await writeJson(below(out, BATCH_FILE), batch.parse(document));
}
