import { createHash } from 'node:crypto';
import { readFile } from 'node:fs/promises';
import type { z } from 'zod';
import { type Measurement, measurement } from '../../jobs/measurement/measurement.js';
import type { DocumentRef } from '../../jobs/plan/batch.js';
import { type FileIdentity, identityOf } from '../file/file-state.js';
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

/** The document that lies there, whichever it is; null where none of this schema does. */
export async function readKept<T>(out: string, file: string, schema: z.ZodType<T>): Promise<Kept<T> | null> {
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

/** A measurement, and the file as it lies there now. */
export interface FoundMeasurement extends Kept<Measurement> {
  readonly now: FileIdentity;
  /**
   * Size, time and pieces are those of the file that was measured, but something was changed since: owner,
   * mode or name, or bytes between the pieces, with the time put back.
   */
  readonly isTouched: boolean;
}

/**
 * The measurement that lies at `file`, if it was made under this key and what it was made of is there, of the
 * same size, time and content as far as its digest tells; null for anything else.
 */
export async function foundMeasurement(
  out: string,
  file: string,
  { key, path }: { readonly key: string; readonly path: string },
): Promise<FoundMeasurement | null> {
  const kept = await readKept(out, file, measurement);
  if (kept === null || kept.document.key !== key) return null;
  const { bytes, modified, changed, digest } = kept.document.file;
  const now = await identityOf(path);
  if (now === null || now.bytes !== bytes || now.modified !== modified || now.digest !== digest) return null;
  return { ...kept, now, isTouched: now.changed !== changed };
}

/**
 * The same, if nothing of the file was changed since: what its measurement and verdict say holds for it
 * still. Anything else is null, and the work is done again.
 */
export async function provenMeasurement(
  out: string,
  file: string,
  of: { readonly key: string; readonly path: string },
): Promise<Kept<Measurement> | null> {
  const found = await foundMeasurement(out, file, of);
  return found === null || found.isTouched ? null : { document: found.document, ref: found.ref };
}

/**
 * Notes of a file that only what stands beside its bytes was changed: its measurement holds for it as it is
 * now.
 *
 * @throws GoodgateError `disk-full`, `cannot-write`.
 */
export function keepAsNow(out: string, { document, ref, now }: FoundMeasurement): Promise<Kept<Measurement>> {
  return keepDocument(out, ref.file, { ...document, file: { ...document.file, ...now } });
}

function digestOf(text: string): string {
  return createHash('sha256').update(text).digest('hex');
}
