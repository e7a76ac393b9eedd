import { realpath } from 'node:fs/promises';
import { dirname, sep } from 'node:path';
import { GoodgateError } from '../jobs/errors.js';
import { spanParts } from '../jobs/manifest/span-path.js';
import type { ClipJobData, PartJobData } from '../jobs/queue/messages.js';
import {
  BATCH_FILE,
  below,
  FINDINGS_FILE,
  LOG_FILE,
  MARKERS_FOLDER,
  ORIGINALS,
  partFile,
  REPORT_FILE,
  STILLS_FOLDER,
  WRITTEN_FOLDERS,
} from './batch/folder.js';

/** The real path of the nearest ancestor that exists: an output's folder may not be there yet. */
async function realAncestor(path: string): Promise<string> {
  for (let at = path; ; at = dirname(at)) {
    try {
      return await realpath(at);
    } catch (error) {
      if (dirname(at) === at) throw error;
    }
  }
}

/** Whether a path is a folder or lies in it, by the words of both: links are not resolved. */
export function liesUnder(path: string, root: string): boolean {
  return path === root || path.startsWith(root.endsWith(sep) ? root : root + sep);
}

/**
 * Refuses a path that does not lie under one of the allowed roots once every symbolic link is resolved. Job
 * data comes from Redis, which anybody with its address may write to.
 *
 * @throws GoodgateError `outside-roots`.
 */
export async function requireUnderRoots(path: string, roots: readonly string[]): Promise<void> {
  const real = await realAncestor(path);
  // A root that is not there allows nothing: its nearest folder that is may be the whole machine.
  const realRoots = await Promise.all(roots.map((root) => realpath(root).catch(() => null)));
  if (realRoots.some((root) => root !== null && liesUnder(real, root))) return;
  throw new GoodgateError('outside-roots', {
    what: `the path does not lie under a folder this worker may use (${roots.join(', ')})`,
    where: path,
    next: 'start the worker with --root and a folder above it that is there, if it is yours',
  });
}

/**
 * Every place a job would have this worker write to. Checked before the first byte is written, the log of the
 * batch included: nothing of a refused batch may reach its folder. A symbolic link below the folder leads out
 * as well.
 *
 * @throws GoodgateError `outside-roots`.
 */
export async function requireWritable(data: ClipJobData, roots: readonly string[]): Promise<void> {
  const places = [LOG_FILE, ...WRITTEN_FOLDERS, ...data.job.outputs.map((output) => output.path)];
  await requireUnderRoots(data.out, roots);
  for (const place of places) await requireUnderRoots(below(data.out, place), roots);
}

/** Where a report is written to, below the batch folder. */
const REPORT_PLACES = [
  ...['', BATCH_FILE, REPORT_FILE, FINDINGS_FILE, 'measurements', `measurements/${ORIGINALS}`],
  ...[MARKERS_FOLDER, `${MARKERS_FOLDER}/${ORIGINALS}`, STILLS_FOLDER],
];

/**
 * Every place the report of a batch is written to. A symbolic link below the folder may lead out of it.
 *
 * @throws GoodgateError `outside-roots`.
 */
export async function requireReportWritable(out: string, roots: readonly string[]): Promise<void> {
  for (const place of REPORT_PLACES) await requireUnderRoots(below(out, place), roots);
}

/**
 * What a job for a part would have this worker read and write.
 *
 * @throws GoodgateError `outside-roots`.
 */
export async function requirePartAllowed(data: PartJobData, roots: readonly string[]): Promise<void> {
  await requireUnderRoots(data.path, roots);
  await requireUnderRoots(below(data.out, partFile(data.requester, data.part)), roots);
}

/**
 * Everything a job would have this worker read: the clip, the looks and the sound that is laid.
 *
 * @throws GoodgateError `outside-roots`.
 */
export async function requireReadable(data: ClipJobData, roots: readonly string[]): Promise<void> {
  const { path } = data.job.clip;
  for (const file of spanParts(path) ?? [path]) await requireUnderRoots(file, roots);
  for (const { recipe } of data.job.outputs) {
    const look = recipe.rendering?.look?.file ?? null;
    if (look !== null) await requireUnderRoots(look, roots);
    for (const { path: laid } of recipe.audio?.laid ?? []) {
      for (const file of spanParts(laid) ?? [laid]) await requireUnderRoots(file, roots);
    }
  }
}
