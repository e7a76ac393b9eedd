import { z } from 'zod';
import { verdictWord } from '../verdict/verdict.js';
import { loss, refusal } from './plan.js';

/**
 * A document of the batch: its path below the folder, and the SHA-256 of its text to identify it.
 */
export const documentRef = z.object({ file: z.string(), sha256: z.string() });
export type DocumentRef = z.infer<typeof documentRef>;

/** The state of one output or one judged original. Paths are below the batch folder. */
export const batchItem = z.object({
  kind: z.enum(['output', 'original']),
  target: z.string().nullable(),
  path: z.string(),
  measurement: z.string().nullable(),
  verdict: z.string().nullable(),
  /** SHA-256 of the text of the two documents. */
  sha256: z.object({ measurement: z.string().nullable(), verdict: z.string().nullable() }),
  word: verdictWord.nullable(),
  losses: z.array(loss),
  bytes: z.number().nullable(),
});
export type BatchItem = z.infer<typeof batchItem>;

export const batchClip = z.object({
  name: z.string(),
  job: z.string(),
  state: z.enum(['waiting', 'done', 'failed']),
  /** Why the job failed; null otherwise. */
  error: z.object({ code: z.string(), what: z.string(), next: z.string().nullable() }).nullable(),
  /** The measurement of the clip itself; null where there is none. */
  original: documentRef.nullable(),
  items: z.array(batchItem),
  seconds: z.number().nullable(),
});
export type BatchClip = z.infer<typeof batchClip>;

/** `batch.json`: the current state of the batch, rewritten atomically whenever a clip is done. */
export const batch = z.object({
  schema: z.literal('goodgate/batch@1'),
  id: z.string(),
  title: z.string(),
  state: z.enum(['running', 'finished', 'interrupted']),
  startedAt: z.string(),
  finishedAt: z.string().nullable(),
  clips: z.array(batchClip),
  refused: z.array(refusal),
  unreadable: z.array(z.object({ file: z.string(), reason: z.string() })),
  method: z.object({ ffmpeg: z.string(), goodgate: z.string() }),
});
export type Batch = z.infer<typeof batch>;
