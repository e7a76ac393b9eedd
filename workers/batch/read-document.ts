import type { z } from 'zod';
import { withPlainFile } from '../../jobs/documents/read-plain-file.js';

/**
 * Reads a JSON document goodgate wrote. Null when it is missing, damaged, of another schema or no plain
 * file: every such document can be made again, so a reader never stops at one.
 */
export async function readDocument<T>(path: string, schema: z.ZodType<T>): Promise<T | null> {
  try {
    const text = await withPlainFile(path, (file) => file.readFile('utf8'));
    const parsed = schema.safeParse(JSON.parse(text));
    return parsed.success ? parsed.data : null;
  } catch {
    return null;
  }
}
