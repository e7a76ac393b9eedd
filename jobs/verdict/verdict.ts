import { z } from 'zod';
import { frameRange } from '../measurement/measurement.js';

export const outcome = z.enum(['pass', 'warn', 'fail', 'unmeasured']);
export type Outcome = z.infer<typeof outcome>;

/** That a named person accepted a finding for what it is. */
export const acceptance = z.object({
  by: z.string(),
  why: z.string(),
  /** The last day it holds, `YYYY-MM-DD`. */
  until: z.string(),
});
export type Acceptance = z.infer<typeof acceptance>;

/** How one file stands to one requirement, with place and reason. */
export const finding = z.object({
  requirement: z.string(),
  outcome,
  expected: z.string(),
  /**
   * What the target set for this requirement, defaults filled in: what `expected` says, as data. Severity and
   * source stand in the finding itself. Empty in documents older than this key.
   */
  limits: z.record(z.string(), z.unknown()).default({}),
  measured: z.string(),
  at: z.array(frameRange),
  /** Whether `at` holds every place; if not, it holds an example such as the worst frame, or none. */
  everyPlace: z.boolean().default(false),
  /** Why it matters, one sentence. */
  why: z.string(),
  /** What to do, one sentence; empty for a pass. */
  advice: z.string(),
  source: z.string().nullable(),
  /**
   * Set where a person accepted the finding: `outcome` still says what was measured, the verdict no longer
   * fails by it.
   */
  waiver: acceptance.nullable().default(null),
});
export type Finding = z.infer<typeof finding>;

export const verdictWord = z.enum(['pass', 'warn', 'fail']);
export type VerdictWord = z.infer<typeof verdictWord>;

/**
 * All findings of a file in one word. `unmeasured` never counts as pass: a file with an unmeasured
 * requirement is `warn` at best, and the command that asked for it exits with 3. Nor does a waived finding:
 * `warn` at best.
 */
export const verdict = z.object({
  schema: z.literal('goodgate/verdict@1'),
  file: z.string(),
  target: z.string(),
  verdict: verdictWord,
  findings: z.array(finding),
});
export type Verdict = z.infer<typeof verdict>;
