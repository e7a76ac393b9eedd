import { z } from 'zod';
import { batchId } from './submission.js';

/** How one way of telling people went. */
export const notified = z.object({
  way: z.enum(['command', 'webhook']),
  /** The program, or scheme and host of the address: what follows may be a secret. */
  to: z.string().max(300),
  /** `sending`: begun, and nobody said how it ended: its worker was killed. */
  state: z.enum(['sending', 'given', 'failed']),
  /** Why it failed; null otherwise. */
  why: z.string().max(2_000).nullable(),
});
export type Notified = z.infer<typeof notified>;

/** `notice.json`: whom the end of a batch was told, once a run. */
export const notice = z.object({
  schema: z.literal('goodgate/notice@1'),
  /** The submission whose end was told. */
  run: batchId,
  at: z.string().max(40),
  told: z.array(notified).max(2),
});
export type Notice = z.infer<typeof notice>;
