import { stat } from 'node:fs/promises';
import { z } from 'zod';
import { type Measurement, measurement } from '../../jobs/measurement/measurement.js';
import { below, recordFile } from './folder.js';
import { readDocument } from './read-document.js';
import { writeJson } from './write-whole.js';

/** Proof that something of a content key is done: which file, how large, when it was last changed, and its measurement. */
const record = z.object({
  key: z.string(),
  path: z.string(),
  bytes: z.number(),
  modifiedMs: z.number(),
  measurement: z.string(),
});
export type Record = z.infer<typeof record>;

/**
 * `path` is absolute when it is an original, below the batch folder otherwise; `absolute` is where the file stands
 * at this moment.
 */
export async function writeRecord(
  out: string,
  entry: { key: string; path: string; absolute: string; measurement: string },
): Promise<void> {
  const now = await stat(entry.absolute);
  await writeJson(below(out, recordFile(entry.key)), {
    key: entry.key,
    path: entry.path,
    bytes: now.size,
    modifiedMs: now.mtimeMs,
    measurement: entry.measurement,
  } satisfies Record);
}

/**
 * The measurement of what was done under a key, if the file it was made of is still the very file: present, of
 * the same size and time. Anything else is null, and the work is done again.
 */
export async function provenMeasurement(
  out: string,
  key: string,
  absolute: string,
): Promise<Measurement | null> {
  const found = await readDocument(below(out, recordFile(key)), record);
  if (found === null || found.key !== key) return null;
  try {
    const now = await stat(absolute);
    if (!now.isFile() || now.size !== found.bytes || now.mtimeMs !== found.modifiedMs) return null;
  } catch {
    return null;
  }
  return readDocument(below(out, found.measurement), measurement);
}
