import { z } from 'zod';
import { frameRange } from '../measurement/measurement.js';

export const outcome = z.enum(['pass', 'warn', 'fail', 'unmeasured']);
export type Outcome = z.infer<typeof outcome>;

/** That a named person accepted a finding. */
export const acceptance = z.object({
  by: z.string(),
  why: z.string(),
  /** The last day it holds, `YYYY-MM-DD`. */
  until: z.string(),
});
export type Acceptance = z.infer<typeof acceptance>;

/** Result of one requirement for one file, with place and reason. */
export const finding = z.object({
  requirement: z.string(),
  outcome,
  expected: z.string(),
  /**
   * The limits of the target for this requirement, with defaults: `expected` as data. Severity and source
   * have keys of their own. Empty in older documents.
   */
  limits: z.record(z.string(), z.unknown()).default({}),
  measured: z.string(),
  at: z.array(frameRange),
  /** Whether `at` lists every place; if not, it lists an example such as the worst frame, or none. */
  everyPlace: z.boolean().default(false),
  /** Why it matters, one sentence. */
  why: z.string(),
  /** What to do, one sentence; empty for a pass. */
  advice: z.string(),
  source: z.string().nullable(),
  /**
   * Set where a person accepted the finding: `outcome` is unchanged, but the verdict no longer fails because
   * of it.
   */
  waiver: acceptance.nullable().default(null),
});
export type Finding = z.infer<typeof finding>;

export const verdictWord = z.enum(['pass', 'warn', 'fail']);
export type VerdictWord = z.infer<typeof verdictWord>;

/**
 * All findings of a file in one word. `unmeasured` never counts as pass: a file with an unmeasured
 * requirement is `warn` at best, and the command exits with 3. A waived finding is no pass either: `warn` at
 * best.
 */
export const verdict = z.object({
  schema: z.literal('goodgate/verdict@1'),
  file: z.string(),
  target: z.string(),
  verdict: verdictWord,
  findings: z.array(finding),
});
export type Verdict = z.infer<typeof verdict>;
