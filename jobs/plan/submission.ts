import { z } from 'zod';

/** Ids of batches and runs stand in names of queues and of files. */
export const batchId = z
  .string()
  .regex(/^[0-9A-Za-z-]{1,64}$/, 'an id: letters, digits and hyphens, 64 at most');

/** What makes and measures. Other software makes another file of the same job. */
export const software = z.object({
  goodgate: z.string().max(100),
  /** Digest of goodgate's own code: a version's number stays while it is worked on. */
  code: z.string().max(100),
  ffmpeg: z.string().max(200),
});
export type Software = z.infer<typeof software>;

export const submitter = z.object({ user: z.string().max(200), host: z.string().max(300) });
export type Submitter = z.infer<typeof submitter>;

/** Whose clips are given out first. Batches of one priority take turns. */
export const priority = z.enum(['rush', 'normal', 'idle']);
export type Priority = z.infer<typeof priority>;

/**
 * `submission.json`: what was submitted, when and by whom. It marks the batch folder as that of a batch: a
 * worker that does not see it has the wrong volume mounted, or none.
 */
export const submission = z.object({
  schema: z.literal('goodgate/submission@1'),
  batch: batchId,
  /** Changes with every submission, so that jobs left over from an earlier one know they are superseded. */
  run: batchId,
  /** By the clock of the queue's server. */
  submittedAt: z.string().max(40),
  by: submitter,
  /** For any worker; false: the `run` that submitted it does it. */
  shared: z.boolean(),
  software,
  priority: priority.default('normal'),
  /** Who paused it: no clip of it is given out until it is resumed. */
  paused: submitter.nullable().default(null),
});
export type Submission = z.infer<typeof submission>;
