import { stat } from 'node:fs/promises';
import { GoodgateError } from '../../jobs/errors.js';
import type { ListedHash } from '../../jobs/hash-list/hash-format.js';
import { type Measurement, measurement } from '../../jobs/measurement/measurement.js';
import type { BatchClip } from '../../jobs/plan/batch.js';
import { moment } from '../../jobs/words/times.js';
import { type FileState, isSameState } from '../file/file-state.js';
import { readKept } from './documents.js';
import { below, originalMeasurementFile } from './folder.js';

/** What an earlier run in this folder recorded of a clip, whatever was made of it then. */
export interface BytesBefore {
  readonly file: Pick<Measurement['file'], 'bytes' | 'modified' | 'path'> & { readonly hash: ListedHash };
  /** When it was recorded, ISO 8601. */
  readonly at: string;
}

/** @param out the batch folder */
export async function bytesBefore(out: string, clip: string): Promise<BytesBefore | null> {
  const file = originalMeasurementFile(clip);
  const kept = await readKept(out, file, measurement);
  const hash = kept?.document.file.hash ?? null;
  if (kept === null || hash === null) return null;
  const written = await stat(below(out, file)).catch(() => null);
  return written && { file: { ...kept.document.file, hash }, at: written.mtime.toISOString() };
}

/**
 * Holds the hash that was taken now against the one of before.
 *
 * @throws GoodgateError `clip-damaged` where the bytes changed and neither size nor time did: what was
 * measured then no longer holds, and no copy or export leaves a file so
 */
export function heldAgainst(
  before: BytesBefore | null,
  now: FileState & { readonly path: string; readonly hash: ListedHash },
): BatchClip['bytesAsBefore'] {
  if (before === null || before.file.hash.format !== now.hash.format) return null;
  const { file, at } = before;
  const same = file.hash.value === now.hash.value;
  if (same || file.path !== now.path || !isSameState(file, now)) return { at, same };
  throw new GoodgateError('clip-damaged', {
    what: `the clip holds other bytes than on ${moment(at)}, though its size and time are the same: its ${now.hash.format} is ${now.hash.value}, and was ${file.hash.value}`,
    where: now.path,
    next: 'copy it once more from the card or another copy; where the change was meant, touch the file and scan again',
  });
}
