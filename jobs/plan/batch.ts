import { z } from 'zod';
import { slate } from '../manifest/facts.js';
import { verdictWord } from '../verdict/verdict.js';
import { leftOutput, loss, refusal, skippedClip, soundApart } from './plan.js';

const number = z.number().int().nonnegative();

/** How many verdicts have each word. */
export const verdictCounts = z.object({ pass: number, warn: number, fail: number });
export type VerdictCounts = z.infer<typeof verdictCounts>;

/**
 * A document of the batch: its path below the folder, and the SHA-256 of its text to identify it.
 */
export const documentRef = z.object({ file: z.string(), sha256: z.string() });
export type DocumentRef = z.infer<typeof documentRef>;

/**
 * What became of a file after it was judged. `changed`: its size or time is another. `touched`: only what its
 * file system notes of it beside (ctime), as a new owner or mode does it, and new content with the time put
 * back.
 */
export const sinceJudged = z.enum(['gone', 'changed', 'touched']);
export type SinceJudged = z.infer<typeof sinceJudged>;

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
  /** As in its measurement; null where there is none, and in documents older than these keys. */
  modified: z.string().nullable().default(null),
  changed: z.string().nullable().default(null),
  /** How its file stood when the batch was last reported; null: as it was judged, or nothing tells. */
  since: sinceJudged.nullable().default(null),
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
  /** How long it took when its files were made and measured; null: it was not done, or nothing tells. */
  seconds: z.number().nullable(),
  /** Of the submission that it is of (`submission.json`); null: none, or a document older than this key. */
  run: z.string().nullable().default(null),
  /** Scene and take; null where they are not known. */
  slate: slate.nullable().default(null),
  /** Everything of it was there already: this run made and measured nothing. */
  wasThere: z.boolean().default(false),
  /**
   * Whether its bytes are those an earlier run read, by the hash of all of them, and when that was recorded
   * (ISO 8601); null where this run read nothing of it, or none did before.
   */
  bytesAsBefore: z.object({ at: z.string(), same: z.boolean() }).nullable().default(null),
});
export type BatchClip = z.infer<typeof batchClip>;

/** Verdicts on the files of a clip. */
export function countVerdicts({ items }: Pick<BatchClip, 'items'>): VerdictCounts {
  const counts = { pass: 0, warn: 0, fail: 0 };
  for (const { word } of items) if (word !== null) counts[word]++;
  return counts;
}

/**
 * How many results a batch has of each kind: one for each file that was made or judged, and one for each clip
 * or output of which nothing came.
 */
export const batchTotals = z.object({
  /** `fit` + `needYou` + `waiting` + `unjudged`. */
  results: number,
  /** `pass` + `warn`. */
  fit: number,
  /** What a person has to look at: `fail` + `unmeasured` + `unreadable` + `notDone` + `refused`. */
  needYou: number,
  fail: number,
  /** Nothing failed, but a requirement could not be measured, and nobody waived that. */
  unmeasured: number,
  /** Clips that could not be read. */
  unreadable: number,
  /** Clips whose job failed. */
  notDone: number,
  /** Outputs that cannot be made here as asked. */
  refused: number,
  warn: number,
  pass: number,
  /** Clips whose turn did not come. */
  waiting: number,
  /** Files of which no target asks anything. */
  unjudged: number,
  /** Clips that came in, with those that could not be read and those that were refused. */
  clips: number,
});
export type BatchTotals = z.infer<typeof batchTotals>;

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
  /** Clips of which nothing was to be made: they count nowhere. */
  skipped: z.array(skippedClip).default([]),
  /** Sound recorded apart: it counts nowhere. */
  soundApart: z.array(soundApart).default([]),
  /** The manifests, or folders, that it was planned from. */
  manifests: z.array(z.string()).default([]),
  /** Files that are there of outputs planned no more: they count nowhere, and nothing touches them. */
  left: z.array(leftOutput).default([]),
  /** `next`: what to do, where it is not to copy the file again or take it out of the manifest. */
  unreadable: z.array(
    z.object({
      file: z.string(),
      reason: z.string(),
      next: z.string().optional(),
      /** The manifest or folder it came with. */
      from: z.string().optional(),
    }),
  ),
  method: z.object({ ffmpeg: z.string(), goodgate: z.string() }),
  /** Dates of the run before this one, should this one find nothing to do. */
  before: z.object({ startedAt: z.string(), finishedAt: z.string() }).nullable().default(null),
  /** Counted when the batch is over; null while it runs, and in documents older than this key. */
  totals: batchTotals.nullable().default(null),
});
export type Batch = z.infer<typeof batch>;
