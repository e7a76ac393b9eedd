import { stat } from 'node:fs/promises';
import { basename, dirname, join, relative, resolve, sep } from 'node:path';
import { GoodgateError } from '../../../jobs/errors.js';
import type { LeftOut, Manifest, ManifestClip } from '../../../jobs/manifest/manifest.js';
import { spanPath } from '../../../jobs/manifest/span-path.js';
import { firstOf } from '../../../jobs/words/numbers.js';
import { sameContentText } from '../../../jobs/words/same-content.js';
import { BATCH_MARKER } from '../../batch/folder.js';
import { sameContent } from '../../file/same-content.js';
import { groupFrames } from '../../sequence/group-frames.js';
import { type ProbeManyOptions, probeClips } from '../probe-clips.js';
import { countAtCommonRate } from './common-rate.js';
import { findSpans, type Spans } from './find-spans.js';
import { isIndexOrData, lowResolutionCopies } from './left-out.js';
import { type Walk, walkFolder } from './walk-folder.js';

export interface ScanOptions extends ProbeManyOptions {
  /** Take copies at low resolution for clips. */
  readonly copies?: boolean;
}

/**
 * Reads every file in and below the folders, and returns a manifest with the facts of each clip, in natural
 * order (`A2` before `A10`). What cannot be read is listed with the reason; what the rules of scan-rules.ts
 * leave out is counted in `notes`, but for sidecars and thumbnails, which are listed, as is what those of
 * left-out.ts leave out. A picture sequence is one clip.
 *
 * Throws GoodgateError: `missing-file` for a folder that is none, `bad-option` for a batch folder,
 * `missing-tool`, `interrupted`.
 */
export async function scanFolder(
  folders: readonly string[],
  { copies = false, ...options }: ScanOptions = {},
): Promise<Manifest> {
  const roots = [...new Set(folders.map((folder) => resolve(folder)))];
  for (const folder of roots) await requireFolder(folder);
  const root = commonFolder(roots);

  const walk: Walk = { files: [], unreadable: [], skipped: new Map() };
  try {
    for (const folder of outermost(roots)) await walkFolder(folder, walk, options.signal);
  } catch (cause) {
    if (!options.signal?.aborted) throw cause;
    throw new GoodgateError('interrupted', { what: 'stopped while listing files', where: root, cause });
  }
  const name = (path: string) => relative(root, path).split(sep).join('/');
  const grouped = groupFrames(walk.files);
  const files = [...grouped.files, ...grouped.sequences].sort((a, b) => naturalOrder(name(a), name(b)));

  const clips: ManifestClip[] = [];
  const leftOut: LeftOut[] = [];
  const unreadable = [
    ...walk.unreadable.map(({ path, reason }) => ({ file: name(path), reason })),
    ...grouped.misnamed.map((path) => ({ file: name(path), reason: MISNAMED })),
  ];
  const results = await probeClips(files, options);
  for (const [index, result] of results.entries()) {
    const file = name(files[index] ?? '');
    if ('facts' in result) clips.push({ file, facts: result.facts });
    else if (await isIndexOrData(files[index] ?? '')) leftOut.push({ file, as: 'index or data file' });
    else unreadable.push({ file, reason: result.reason });
  }
  const spans = findSpans(clips);
  clips.splice(0, clips.length, ...countAtCommonRate(spans.clips));
  if (!copies) leftOut.push(...lowResolutionCopies(clips));
  const isLeftOut = new Set(leftOut.map(({ file }) => file));
  for (const as of ['sidecar', 'thumbnail'] as const)
    leftOut.push(...(walk.skipped.get(as) ?? []).map((path) => ({ file: name(path), as })));
  const notes = [...walk.skipped]
    .filter(([what]) => what !== 'sidecar' && what !== 'thumbnail')
    .map(([what, { length }]) => `left out: ${length} × ${what}`)
    .sort();
  notes.push(...spans.doubtful.map(doubtfulNote));
  notes.push(...(await sameContentNotes(root, clips)));
  return {
    schema: 'goodgate/manifest@1',
    title: roots.map((folder) => basename(folder) || folder).join(', '),
    root,
    clips: clips.filter(({ file }) => !isLeftOut.has(file)),
    ...(unreadable.length === 0
      ? {}
      : { unreadable: unreadable.sort((a, b) => naturalOrder(a.file, b.file)) }),
    ...(leftOut.length === 0 ? {} : { leftOut: leftOut.sort((a, b) => naturalOrder(a.file, b.file)) }),
    ...(notes.length === 0 ? {} : { notes }),
  };
}

/** Clips that are there twice, whatever they are called. */
async function sameContentNotes(root: string, clips: readonly ManifestClip[]): Promise<string[]> {
  const contents = clips.map(({ file, parts = [], facts }) => {
    const others = parts.map((part) => join(root, part));
    return { file, path: spanPath(join(root, file), others), bytes: facts?.bytes ?? 0 };
  });
  const files = new Map(contents.map(({ path, file }) => [path, file]));
  const same = await sameContent(contents);
  return same.map(({ paths, by }) =>
    sameContentText(
      paths.map((path) => files.get(path) ?? path),
      by,
    ),
  );
}

/** What stays apart because it is not sure. */
function doubtfulNote({ files, why }: Spans['doubtful'][number]): string {
  return `may be parts of one take, each goes on where the other ends: ${firstOf(files, 3)}; not joined, since ${why}; to join them list the others as parts of the first`;
}

const MISNAMED = 'its name has a #, which stands for the number of a frame here: rename it';

async function requireFolder(folder: string): Promise<void> {
  const found = await stat(folder).catch(() => null);
  if (found?.isDirectory()) {
    if ((await stat(join(folder, BATCH_MARKER)).catch(() => null)) === null) return;
    throw new GoodgateError('bad-option', {
      what: 'it is a batch folder: what lies in it was made, and is no original',
      where: folder,
      next: 'name the folder of the card; to judge outputs, name one folder below, such as that of a target',
    });
  }
  throw new GoodgateError('missing-file', {
    what: found === null ? 'there is no such folder' : 'it is a file, not a folder',
    where: folder,
    next: 'name folders as they were copied from the cards',
  });
}

/** The folder that contains all roots; with a single root, that one. */
function commonFolder(roots: readonly string[]): string {
  let common = roots[0] ?? process.cwd();
  while (!roots.every((folder) => contains(common, folder))) common = dirname(common);
  return common;
}

/** Without folders inside another one of the list, so that each file is read once. */
function outermost(roots: readonly string[]): string[] {
  return roots.filter((folder) => !roots.some((other) => other !== folder && contains(other, folder)));
}

function contains(outer: string, inner: string): boolean {
  return inner === outer || inner.startsWith(outer.endsWith(sep) ? outer : outer + sep);
}

const collator = new Intl.Collator('en', { numeric: true });

/** Folder by folder, numbers by value; names that collate equally by their code points. */
export function naturalOrder(a: string, b: string): number {
  const [left, right] = [a.split('/'), b.split('/')];
  for (let i = 0; i < Math.min(left.length, right.length); i++) {
    const order = collator.compare(left[i] ?? '', right[i] ?? '');
    if (order !== 0) return order;
  }
  return left.length - right.length || (a < b ? -1 : a > b ? 1 : 0);
}
