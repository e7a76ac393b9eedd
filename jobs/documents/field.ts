import type { z } from 'zod';

/**
 * A key of a document, with the words that explain it, as an editor shows them: what it demands or tells, its unit, what
 * holds where it is left out. The words stand first, as a comment would, and nowhere else.
 */
export function field<T extends z.ZodType>(words: string, schema: T): T {
  return schema.describe(words);
}
