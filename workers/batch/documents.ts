import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import type { z } from 'zod';
import { type Measurement, measurement } from '../../jobs/measurement/measurement.js';
import type { DocumentRef } from '../../jobs/plan/batch.js';
import { identityOf } from '../file/file-state.js';
import { below } from './folder.js';
import { writeJson } from './write-whole.js';

/** A document and where it lies. */
export interface Kept<T> {
  readonly document: T;
  readonly ref: DocumentRef;
}

/**
 * Writes a document into the batch folder, and tells how to find this very one again.
 *
 * @param file path below the folder
 * @throws GoodgateError `disk-full`, `cannot-write`.
 */
export async function keepDocument<T>(out: string, file: string, document: T): Promise<Kept<T>> {
  const text = await writeJson(below(out, file), document);
  return { document, ref: { file, sha256: digestOf(text) } };
}

async function readKept<T>(out: string, file: string, schema: z.ZodType<T>): Promise<Kept<T> | null> {
  try {
    const text = await readFile(below(out, file), 'utf8');
    const parsed = schema.safeParse(JSON.parse(text));
    return parsed.success ? { document: parsed.data, ref: { file, sha256: digestOf(text) } } : null;
  } catch {
    return null;
  }
}

/**
 * The document a batch speaks of. Null when it is missing, damaged, of another schema or another than it was:
 * the same clip may have been measured again since, by another batch in this folder.
 */
export async function readDocumentOf<T>(
  out: string,
  { file, sha256 }: DocumentRef,
  schema: z.ZodType<T>,
): Promise<T | null> {
  const kept = await readKept(out, file, schema);
  return kept?.ref.sha256 === sha256 ? kept.document : null;
}

/**
 * The measurement that lies at `file`, if it was made under this key and what it was made of is still the
 * very file: present, of the same size, time and content as far as its digest tells. Anything else is null,
 * and the work is done again.
 */
export async function provenMeasurement(
  out: string,
  file: string,
  { key, path }: { readonly key: string; readonly path: string },
): Promise<Kept<Measurement> | null> {
  const kept = await readKept(out, file, measurement);
  if (kept === null || kept.document.key !== key) return null;
  const { bytes, modified, digest } = kept.document.file;
  const now = await identityOf(path);
  const isSame = now?.bytes === bytes && now.modified === modified && now.digest === digest;
  return isSame ? kept : null;
}

function digestOf(text: string): string {
  return createHash('sha256').update(text).digest('hex');
}
