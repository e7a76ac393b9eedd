import { type Batch, type BatchClip, batch, batchClip } from '../../jobs/plan/batch.js';
import { type Plan, plan } from '../../jobs/plan/plan.js';
import { type Submission, submission } from '../../jobs/plan/submission.js';
import { BATCH_FILE, below, PLAN_FILE, resultFile, SUBMISSION_FILE } from './folder.js';
import { readDocument } from './read-document.js';
import { writeJson } from './write-whole.js';

/** The plan a batch folder was made for; null when the folder holds none. */
export function readPlan(out: string): Promise<Plan | null> {
  return readDocument(below(out, PLAN_FILE), plan);
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

export interface AssembleOptions {
  readonly state: Batch['state'];
  readonly startedAt: string;
  readonly finishedAt: string | null;
  readonly unreadable: Batch['unreadable'];
  readonly method: Batch['method'];
  readonly before?: Batch['before'];
  /** What to say of a clip without a result when the batch is over. */
  readonly lost: string;
}

/**
 * The batch as its folder shows it: the plan, and what is known of each clip. Results are one file per clip,
 * so workers on many machines never write the same file; this puts them together.
 */
export async function assembleBatch(planned: Plan, options: AssembleOptions): Promise<Batch> {
  const clips: Batch['clips'] = [];
  for (const job of planned.jobs) {
    const result = await readResult(planned.out, job.id);
    clips.push(
      result ?? {
        name: job.clip.name,
        job: job.id,
        state: options.state === 'finished' ? 'failed' : 'waiting',
        error:
          options.state === 'finished'
            ? {
                code: 'interrupted',
                what: options.lost,
                next: 'run the batch again: only this clip will be done',
              }
            : null,
        original: null,
        items: [],
        seconds: null,
        wasThere: false,
      },
    );
  }
  return {
    schema: 'goodgate/batch@1',
    id: planned.id,
    title: planned.title,
    state: options.state,
    startedAt: options.startedAt,
    finishedAt: options.finishedAt,
    clips,
    refused: planned.refused,
    unreadable: options.unreadable,
    method: options.method,
    before: options.before ?? null,
    totals: null,
  };
}

export async function writeBatch(out: string, document: Batch): Promise<void> {
  await writeJson(below(out, BATCH_FILE), batch.parse(document));
}
