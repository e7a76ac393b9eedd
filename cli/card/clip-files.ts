import { join, relative } from 'node:path';
import type { ManifestClip } from '../../jobs/manifest/manifest.js';
import { spanParts, spanPath } from '../../jobs/manifest/span-path.js';
import { sameContentText } from '../../jobs/words/same-content.js';
import { filesOf } from '../../workers/file/clip-files.js';
import { sameContent } from '../../workers/file/same-content.js';
import { type ListedClips, listedClips } from '../../workers/hash-list/listed-clips.js';

/** A clip's path, with those of its further parts. */
export function pathOf(root: string, { file, parts = [] }: ManifestClip): string {
  return spanPath(
    join(root, file),
    parts.map((part) => join(root, part)),
  );
}

/** Clips that are there twice, whatever they are called. */
export async function sameContentNotes(
  root: string,
  clips: readonly ManifestClip[],
  { hashes }: Pick<ListedClips, 'hashes'>,
): Promise<string[]> {
  const contents = clips.map((clip) => ({ path: pathOf(root, clip), bytes: clip.facts?.bytes ?? 0 }));
  const same = await sameContent(contents, hashes);
  return same.map(({ paths, by }) => {
    const files = paths.map((path) => relative(root, spanParts(path)?.[0] ?? path));
    return sameContentText(files, by);
  });
}

/** What hash lists say of clips. Every file of a clip is looked up, and it is named as one. */
export async function listedFilesOf(paths: readonly string[]): Promise<ListedClips> {
  const clipOf = new Map<string, string>();
  for (const path of paths) {
    for (const file of await filesOf(path).catch(() => [path])) clipOf.set(file, path);
  }
  const known = await listedClips([...clipOf.keys()]);
  return { ...known, unlisted: [...new Set(known.unlisted.map((file) => clipOf.get(file) ?? file))] };
}
