import { stat } from 'node:fs/promises';
import { basename } from 'node:path';
import { z } from 'zod';
import { GoodgateError } from '../../jobs/errors.js';
import { below } from '../../workers/batch/folder.js';
import { readDocument } from '../../workers/batch/read-document.js';
import { writeJson } from '../../workers/batch/write-whole.js';
import { type Walk, walkFolder } from '../../workers/probe/card/walk-folder.js';
import { isHalfCopy, type SeenFile } from './steady-files.js';

/** What was submitted of a watched folder; lies in its batch folder. */
const WATCHED_FILE = 'watched.json';

const watched = z.object({
  schema: z.literal('goodgate/watched@1'),
  files: z.array(z.object({ path: z.string(), bytes: z.number(), modified: z.string() })),
});

/**
 * Every file in and below a folder that may be a clip, with its size and time. Batch folders are left out.
 *
 * @throws GoodgateError `missing-file`
 */
export async function filesNow(folder: string, signal: AbortSignal): Promise<SeenFile[]> {
  if ((await stat(folder).catch(() => null))?.isDirectory() !== true) {
    throw new GoodgateError('missing-file', {
      what: 'there is no such folder',
      where: folder,
      next: 'check the path, and that its volume is mounted',
    });
  }
  const walk: Walk = { files: [], unreadable: [], skipped: new Map() };
  await walkFolder(folder, walk, signal);
  const files: SeenFile[] = [];
  for (const path of walk.files) {
    if (isHalfCopy(basename(path))) continue;
    const found = await stat(path).catch(() => null);
    if (found?.isFile()) files.push({ path, bytes: found.size, modified: found.mtime.toISOString() });
  }
  return files;
}

/** Files that were submitted into a batch folder, each as it was then. */
export async function submittedFiles(out: string): Promise<SeenFile[]> {
  return (await readDocument(below(out, WATCHED_FILE), watched))?.files ?? [];
}

/** @throws GoodgateError `disk-full`, `cannot-write` */
export async function writeSubmitted(out: string, files: readonly SeenFile[]): Promise<void> {
  await writeJson(below(out, WATCHED_FILE), { schema: 'goodgate/watched@1', files });
}

/** Tells the files that were submitted and have kept their size and time since. */
export function submittedAsIs(submitted: readonly SeenFile[]): (file: SeenFile) => boolean {
  const before = new Map(submitted.map((file) => [file.path, file]));
  return ({ path, bytes, modified }) => {
    const known = before.get(path);
    return known !== undefined && known.bytes === bytes && known.modified === modified;
  };
}

/**
 * Whether there is something to submit: a file that is steady and was not submitted as it is. Null: not yet,
 * for a file that was submitted is being written again, and a batch is not submitted without a clip it had.
 */
export function isNews(
  steady: readonly SeenFile[],
  now: readonly SeenFile[],
  submitted: readonly SeenFile[],
): boolean | null {
  const before = new Set(submitted.map(({ path }) => path));
  const isKnown = submittedAsIs(submitted);
  const isSteady = new Set(steady.map(({ path }) => path));
  if (now.some((file) => before.has(file.path) && !isKnown(file) && !isSteady.has(file.path))) return null;
  return steady.some((file) => !isKnown(file));
}
