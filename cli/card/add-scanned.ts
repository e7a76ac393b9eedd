import { lstat } from 'node:fs/promises';
import { extname, resolve } from 'node:path';
import { LARGE_DOCUMENT, readText } from '../../jobs/documents/load-document.js';
import { GoodgateError } from '../../jobs/errors.js';
import { addToManifest } from '../../jobs/manifest/add-to-manifest.js';
import { loadManifest } from '../../jobs/manifest/load-manifest.js';
import type { Manifest } from '../../jobs/manifest/manifest.js';
import { count, firstOf } from '../../jobs/words/numbers.js';
import { visible } from '../../jobs/words/plain-text.js';
import { clipsByRule } from '../../planner/rules.js';
import { writeWhole } from '../../workers/batch/write-whole.js';

/**
 * The manifest that something is to be added to, looked at before the time of a scan is spent.
 *
 * @returns its absolute path
 * @throws GoodgateError `bad-option`, `missing-file`, `bad-document`
 */
export async function requireManifest(file: string | undefined): Promise<string> {
  if (file === undefined || !['.yaml', '.yml', '.json'].includes(extname(file).toLowerCase())) {
    throw new GoodgateError('bad-option', {
      what: '--add needs the manifest it adds to, a .yaml or .json file',
      where: file,
      next: 'name it: goodgate scan FOLDER --add -o manifest.yaml',
    });
  }
  const there = await lstat(resolve(file)).catch(() => null);
  if (there?.isSymbolicLink()) {
    throw new GoodgateError('bad-option', {
      what: 'it is a link: the file it leads to would stay as it is, and the link be gone',
      where: file,
      next: 'name the manifest itself',
    });
  }
  await loadManifest(resolve(file));
  return resolve(file);
}

/**
 * Adds to the manifest as it is now: somebody may have edited it during the scan.
 *
 * @returns what came of it, in lines
 * @throws GoodgateError `missing-file`, `bad-document`, `cannot-write`, `disk-full`
 */
export async function addScanned(
  path: string,
  scanned: Manifest,
  folders: readonly string[],
): Promise<string[]> {
  const { manifest, folder } = await loadManifest(path);
  const { text, added, changed, gone, newRoot } = addToManifest({
    text: await readText(path, LARGE_DOCUMENT),
    isJson: extname(path).toLowerCase() === '.json',
    root: resolve(folder, manifest.root),
    scanned,
    folders,
  });
  await writeWhole(path, text);
  const named = (what: string, files: readonly string[]): string[] =>
    files.length === 0 ? [] : [`${what}: ${count(files.length, 'clip')}: ${visible(firstOf(files, 10))}`];
  return [
    ...(newRoot === null ? [] : [`paths start from ${visible(newRoot)} now`]),
    ...named('new', added),
    ...(added.length === 0 ? [] : await rulesForNew(path, new Set(added))),
    ...named('changed on the card since', changed),
    ...named('not there, or not readable, any more; kept in the manifest', gone),
    ...(added.length + changed.length + gone.length === 0 ? ['nothing new'] : []),
  ];
}

/** What the rules do to clips that their author had not seen: a pattern may hold for more than was meant. */
async function rulesForNew(path: string, added: ReadonlySet<string>): Promise<string[]> {
  const { manifest } = await loadManifest(path);
  const clips = manifest.clips.filter(({ file }) => added.has(file));
  return clipsByRule({ ...manifest, clips }).map(({ rule, files }) =>
    files.length === 0
      ? `${visible(rule)} holds for none of the new clips`
      : `${visible(rule)} holds for ${count(files.length, 'new clip')}: ${visible(firstOf(files, 3))}`,
  );
}
