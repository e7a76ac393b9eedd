import { z } from 'zod';
import { plannedJob } from '../plan.js';

/** What a clip job carries. Parsed when queued and again when taken: Redis is not trusted. */
export const clipJobData = z.strictObject({
  batch: z.string(),
  /** Changes with every submission, so that jobs left over from an earlier one know they are superseded. */
  run: z.string(),
  out: z.string(),
  job: plannedJob,
});
export type ClipJobData = z.infer<typeof clipJobData>;

export const reportJobData = z.strictObject({ batch: z.string(), run: z.string(), out: z.string() });
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
