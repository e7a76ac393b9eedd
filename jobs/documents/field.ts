import { z } from 'zod';

/**
 * A key of a document, with the words that explain it, as an editor shows them: what it demands or tells, its
 * unit, what holds without it. The words stand first, as a comment would, and nowhere else; a default is told
 * after them as the schema has it.
 */
export function field<T extends z.ZodType>(words: string, schema: T): T {
  return schema.describe(schema instanceof z.ZodDefault ? `${words} ${defaultWords(schema)}` : words);
}

/** `Default: 0.01.`, ``Default: `pad`.`` */
function defaultWords(schema: z.ZodDefault): string {
  const values = [schema.def.defaultValue].flat();
  return `Default: ${values.map((value) => (typeof value === 'number' ? value : `\`${value}\``)).join(', ')}.`;
}
