import { z } from 'zod';

/**
 * A key of a document with its description, as editors show it: meaning, unit, and what applies without it.
 * The description is written only here; a default is added to it from the schema.
 */
export function field<T extends z.ZodType>(words: string, schema: T): T {
  return schema.describe(schema instanceof z.ZodDefault ? `${words} ${defaultWords(schema)}` : words);
}

/** `Default: 0.01.`, ``Default: `pad`.`` */
function defaultWords(schema: z.ZodDefault): string {
  const values = [schema.def.defaultValue].flat();
  return `Default: ${values.map((value) => (typeof value === 'number' ? value : `\`${value}\``)).join(', ')}.`;
}
