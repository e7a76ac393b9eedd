import { createHash } from 'node:crypto';
import { z } from 'zod';
import { absolutePath } from '../documents/path-below.js';
import { colour } from '../manifest/colour.js';
import { videoFacts } from '../manifest/facts.js';
import { plannedJob } from '../plan/plan.js';

/** Ids of batches and runs stand in names of queues and of files. */
const id = z.string().regex(/^[0-9A-Za-z-]{1,64}$/, 'an id: letters, digits and hyphens, 64 at most');

/** What a clip job carries. Parsed when queued and again when taken: Redis is not trusted. */
export const clipJobData = z.strictObject({
  batch: id,
  /** Changes with every submission, so that jobs left over from an earlier one know they are superseded. */
  run: id,
  out: absolutePath,
  job: plannedJob,
});
export type ClipJobData = z.infer<typeof clipJobData>;

export const reportJobData = z.strictObject({ batch: id, run: id, out: absolutePath });
export type ReportJobData = z.infer<typeof reportJobData>;

/** What a clip job tells while it works. */
export const clipProgress = z.object({
  stage: z.enum(['decode', 'measure', 'judge']),
  /** 0..1 of the whole job. */
  fraction: z.number().min(0).max(1),
  /** Output being measured, for people. */
  detail: z.string(),
});
export type ClipProgress = z.infer<typeof clipProgress>;

const whole = z.number().int();
const ratio = z.strictObject({ num: whole, den: whole.positive() });

/** What a job carries that measures one part of a long file. Parsed when queued and again when taken. */
export const partJobData = z.strictObject({
  /** Whoever waits for it. */
  requester: z.string().regex(/^[0-9a-f]{32}$/),
  /** The batch folder: the part's figures are too many for Redis. */
  out: absolutePath,
  /** Number among the parts of the file. */
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

/** Tells two askings apart, so that an answer can be held against what was asked. */
export function partDigest(data: PartJobData): string {
  return createHash('sha256').update(JSON.stringify(data)).digest('hex');
}

/**
 * What became of a part: its figures lie in the batch folder; or why it cannot be one; or nobody waited for
 * it.
 */
export const partAnswer = z.discriminatedUnion('state', [
  z.strictObject({ state: z.literal('measured') }),
  z.strictObject({ state: z.literal('doubt'), why: z.string() }),
  z.strictObject({ state: z.literal('unwanted') }),
]);
export type PartAnswer = z.infer<typeof partAnswer>;

/** Frames of a part that have come so far. */
export const partProgress = z.strictObject({ frames: whole.nonnegative() });
export type PartProgress = z.infer<typeof partProgress>;

/** What Redis remembers of a batch beside its jobs. */
export const batchEntry = z.object({
  id: z.string(),
  title: z.string(),
  out: z.string(),
  run: z.string(),
  submittedAt: z.string(),
  queues: z.object({ clips: z.string(), reports: z.string() }),
  jobs: z.array(z.object({ queueId: z.string(), clip: z.string() })),
  reportQueueId: z.string(),
});
export type BatchEntry = z.infer<typeof batchEntry>;
