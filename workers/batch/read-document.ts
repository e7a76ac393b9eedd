import { readFile } from 'node:fs/promises';
import type { z } from 'zod';

/**
 * Reads a JSON document goodgate wrote. Null when it is missing, damaged or of another schema: every such
 * document can be made again, so a reader never stops at one.
 */
export async function readDocument<T>(path: string, schema: z.ZodType<T>): Promise<T | null> {
  try {
    const parsed = schema.safeParse(JSON.parse(await readFile(path, 'utf8')));
    return parsed.success ? parsed.data : null;
  } catch {
    return null;
  }
}
