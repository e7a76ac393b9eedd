import { z } from 'zod';
import { verdict } from './verdict.js';

const count = z.number().int().nonnegative();

/**
 * Output of `check --format json`: every verdict of one call, worst first, with totals.
 */
export const findings = z.object({
  schema: z.literal('goodgate/findings@1'),
  totals: z.object({
    files: count,
    pass: count,
    warn: count,
    fail: count,
    /** Requirements of all files that could not be measured and were not waived. */
    unmeasured: count,
    /** Waived findings of all files. */
    waived: count,
  }),
  verdicts: z.array(verdict),
});
export type Findings = z.infer<typeof findings>;
