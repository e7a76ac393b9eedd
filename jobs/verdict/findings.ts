import { z } from 'zod';
import { verdict } from './verdict.js';

const count = z.number().int().nonnegative();

/**
 * What `check --format json` prints: every verdict of one call, worst first, and how many there are of each.
 */
export const findings = z.object({
  schema: z.literal('goodgate/findings@1'),
  totals: z.object({
    files: count,
    pass: count,
    warn: count,
    fail: count,
    /** Requirements, over all files, that could not be measured, and that nobody waived. */
    unmeasured: count,
    /** Findings, over all files, that a person waived. */
    waived: count,
  }),
  verdicts: z.array(verdict),
});
export type Findings = z.infer<typeof findings>;
