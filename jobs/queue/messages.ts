import { createHash } from 'node:crypto';
import { z } from 'zod';
import { absolutePath } from '../documents/path-below.js';
import { colour } from '../manifest/colour.js';
import { videoFacts } from '../manifest/facts.js';
import { verdictCounts } from '../plan/batch.js';
import { plannedJob } from '../plan/plan.js';
import { batchId, submission } from '../plan/submission.js';

/** Data of a clip job. Validated when queued and again when taken: Redis is not trusted. */
export const clipJobData = z.strictObject({
  batch: batchId,
  /** Changes with every submission, so that jobs left over from an earlier one can be recognised. */
  run: batchId,
  out: absolutePath,
  job: plannedJob,
});
export type ClipJobData = z.infer<typeof clipJobData>;

export const reportJobData = z.strictObject({ batch: batchId, run: batchId, out: absolutePath });
export type ReportJobData = z.infer<typeof reportJobData>;

/** Progress of a clip job. */
export const clipProgress = z.object({
  /** `again`: the world failed it, `detail` says how, and it will be tried again. */
  stage: z.enum(['decode', 'measure', 'judge', 'again']),
  /** 0..1 of the whole job. */
  fraction: z.number().min(0).max(1),
  /** What it works on, for people. */
  detail: z.string(),
});
export type ClipProgress = z.infer<typeof clipProgress>;

/** What a clip that is done tells by way of the queue: its files lie in the folder. */
export const clipAnswer = z.object({
  state: z.string(),
  /** Verdicts on its files, by their word. */
  verdicts: verdictCounts.optional(),
  /** How long it took; null where all of it was there already. */
  seconds: z.number().nonnegative().nullable().optional(),
});
export type ClipAnswer = z.infer<typeof clipAnswer>;

const whole = z.number().int();
const ratio = z.strictObject({ num: whole, den: whole.positive() });

/** Data of a job that measures one part of a long file. Validated when queued and again when taken. */
export const partJobData = z.strictObject({
  /** Id of the worker that waits for it. */
  requester: z.string().regex(/^[0-9a-f]{32}$/),
  /** The batch folder: the figures of a part are too large for Redis. */
  out: absolutePath,
  /** Index among the parts of the file. */
  part: whole.nonnegative(),
  path: absolutePath,
  bytes: whole.nonnegative(),
  modified: z.string(),
  video: videoFacts,
  colour: colour.nullable(),
  range: z.strictObject({ from: whole.nonnegative(), to: whole.positive(), lead: whole.nonnegative() }),
  isLast: z.boolean(),
  /** Time stamp of the file's first frame, and frames a second. */
  numbering: z.strictObject({
    origin: z.strictObject({ ticks: z.number(), timeBase: ratio }),
    rate: ratio,
  }),
});
export type PartJobData = z.infer<typeof partJobData>;

/** Identifies a request, so that an answer can be matched to it. */
export function partDigest(data: PartJobData): string {
  return createHash('sha256').update(JSON.stringify(data)).digest('hex');
}

/**
 * Answer for a part: its figures are in the batch folder; or why it cannot be measured as a part; or nobody
 * waits for it.
 */
export const partAnswer = z.discriminatedUnion('state', [
  z.strictObject({ state: z.literal('measured') }),
  z.strictObject({ state: z.literal('doubt'), why: z.string() }),
  z.strictObject({ state: z.literal('unwanted') }),
]);
export type PartAnswer = z.infer<typeof partAnswer>;

/** Frames of a part measured so far. */
export const partProgress = z.strictObject({ frames: whole.nonnegative() });
export type PartProgress = z.infer<typeof partProgress>;

/** What Redis stores of a batch besides its jobs. */
export const batchEntry = submission.omit({ schema: true, batch: true, paused: true }).extend({
  id: batchId,
  title: z.string(),
  out: absolutePath,
  reportQueueId: z.string(),
  /** False from the first of its clips on the queue to the last: no worker begins it meanwhile. */
  whole: z.boolean().default(true),
});
export type BatchEntry = z.infer<typeof batchEntry>;

/**
 * A clip of a batch, done or not, as the server lists it. The list lies beside the entry, which is read for
 * every job and stays small.
 */
export const listedClip = z.object({
  job: z.string(),
  clip: z.string(),
  /** How long it was planned to take. */
  seconds: z.number().nonnegative(),
});
export type ListedClip = z.infer<typeof listedClip>;
