import type { z } from 'zod';

/**
 * A key of a document that people write, with the words their editor shows for it: what it demands, its unit, what holds
 * where it is left out. The words stand first, as a comment would, and nowhere else.
 */
export function field<T extends z.ZodType>(words: string, schema: T): T {
  return schema.describe(words);
}
