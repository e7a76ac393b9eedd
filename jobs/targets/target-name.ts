import { z } from 'zod';

/** Folders of a batch that are not outputs: a target of that name would write into them. */
export const RESERVED_TARGET_NAMES = [
  'originals',
  'measurements',
  'verdicts',
  'results',
  'logs',
  'markers',
] as const;

/** Name of a target; its outputs are in a folder of that name. */
export const targetName = z
  .string()
  .regex(/^[a-z0-9][a-z0-9-]{0,63}$/, 'lower-case letters, digits and hyphens, 64 at most')
  .refine((name) => !RESERVED_TARGET_NAMES.some((reserved) => reserved === name), {
    message: `another name: ${RESERVED_TARGET_NAMES.join(', ')} are folders of a batch`,
  });
