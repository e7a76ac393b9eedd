import { createHash } from 'node:crypto';
import { readdir, readFile } from 'node:fs/promises';
import { join, relative } from 'node:path';
import { execa } from 'execa';
import { batch as batchSchema } from '../../jobs/plan/batch.js';
import { isTemporary } from '../../workers/batch/attempt.js';
import { BATCH_FILE, LOCKS_FOLDER, PARTS_FOLDER } from '../../workers/batch/folder.js';
import { FRAMES, readJson, type Shop, TARGETS, until } from './shop.js';

/** What a clean run left: the hash of each output, and how each file stands to its target. */
export interface Clean {
  readonly hashes: ReadonlyMap<string, string>;
  readonly words: ReadonlyMap<string, string | null>;
}

async function filesBelow(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { withFileTypes: true, recursive: true }).catch(() => []);
  return entries
    .filter((entry) => entry.isFile())
    .map((entry) => relative(folder, join(entry.parentPath, entry.name)));
}

/** Hashes of what lies in the folders of the targets, but for a file that is gone before it is read. */
async function outputsIn(
  out: string,
  isWanted = (_name: string): boolean => true,
): Promise<Map<string, string>> {
  const hashes = new Map<string, string>();
  for (const target of TARGETS) {
    for (const file of await filesBelow(join(out, target))) {
      if (!isWanted(file.split('/').at(-1) ?? '')) continue;
      const bytes = await readFile(join(out, target, file)).catch(() => null);
      if (bytes !== null) hashes.set(`${target}/${file}`, createHash('sha256').update(bytes).digest('hex'));
    }
  }
  return hashes;
}

async function wordsIn(out: string): Promise<{ state: string; words: Map<string, string | null> }> {
  const { state, clips } = batchSchema.parse(await readJson(join(out, BATCH_FILE)));
  const words = new Map<string, string | null>();
  for (const clip of clips) {
    words.set(clip.name, clip.error === null ? clip.state : `${clip.state}: ${clip.error.code}`);
    for (const { path, word } of clip.items) words.set(path, word);
  }
  return { state, words };
}

/** Runs once undisturbed, and decodes every output with nothing of goodgate: the measure of all others. */
export async function cleanRun(shop: Shop): Promise<Clean> {
  const out = join(shop.folder, 'clean');
  const run = await shop.start(['run', ...shop.wanted(out)]);
  if (run.exitCode !== 0)
    throw new Error(`the clean run ended with ${run.exitCode}: ${run.stdout}\n${run.stderr}`);
  const hashes = await outputsIn(out);
  if (hashes.size !== shop.clips.length * TARGETS.length) throw new Error('the clean run is not whole');
  for (const path of hashes.keys()) {
    const { stdout } = await execa('ffprobe', [
      ...['-v', 'error', '-count_frames', '-select_streams', 'v', '-show_entries', 'stream=nb_read_frames'],
      ...['-of', 'csv=p=0', join(out, path)],
    ]);
    if (Number.parseInt(stdout, 10) !== FRAMES) throw new Error(`${path} has ${stdout} frames`);
  }
  return { hashes, words: (await wordsIn(out)).words };
}

/** How a batch stands: at work, every clip done, or over with clips that are not. */
export async function endOf(out: string): Promise<'running' | 'done' | 'failed'> {
  const found = await wordsIn(out).catch(() => null);
  if (found === null || found.state !== 'finished') return 'running';
  const isUndone = (word: string | null): boolean => word === 'waiting' || !!word?.startsWith('failed');
  return [...found.words.values()].some(isUndone) ? 'failed' : 'done';
}

/** Outputs that have their name and are not those of the clean run, at any moment. */
export async function halfMade(out: string, clean: Clean): Promise<string[]> {
  const named = await outputsIn(out, (name) => !isTemporary(name));
  return [...named].flatMap(([path, hash]) =>
    clean.hashes.get(path) === hash ? [] : [`${path} has its name and is not whole`],
  );
}

/** Clips whose jobs were given up, with the code of the error. */
export async function givenUp(out: string): Promise<string[]> {
  const { words } = await wordsIn(out).catch(() => ({ words: new Map<string, string | null>() }));
  return [...words].flatMap(([clip, word]) => (word?.startsWith('failed') ? [`${clip} ${word}`] : []));
}

function differences(
  what: string,
  found: ReadonlyMap<string, string | null>,
  expected: ReadonlyMap<string, string | null>,
): string[] {
  const missing = [...expected].flatMap(([path, value]) =>
    found.get(path) === value
      ? []
      : [`${what} of ${path}: ${found.get(path) ?? 'none'} in place of ${value}`],
  );
  const more = [...found.keys()].filter((path) => !expected.has(path));
  return [...missing, ...more.map((path) => `${what} of ${path}, which no clean run has`)];
}

/**
 * What is wrong with a finished batch: an output that is not the clean run's to the last byte (which was
 * decoded and counted), a clip lost or judged otherwise, or anything left behind.
 */
export async function faultsOf(out: string, clean: Clean, shop: Shop): Promise<string[]> {
  const found: string[] = [];
  const { state, words } = await wordsIn(out).catch(() => ({ state: 'none', words: new Map() }));
  if (state !== 'finished') found.push(`the batch is ${state}`);
  found.push(...differences('state', words, clean.words));
  found.push(...differences('hash', await outputsIn(out), clean.hashes));
  await until(() => shop.left().length === 0, 20);
  found.push(...shop.left().map((line) => `left behind: ${line}`));
  for (const file of await filesBelow(out)) {
    const name = file.split('/').at(-1) ?? '';
    if (isTemporary(name) || file.startsWith(`${LOCKS_FOLDER}/`) || file.startsWith(`${PARTS_FOLDER}/`)) {
      found.push(`left behind: ${file}`);
    }
  }
  const temporary = await readdir(join(shop.folder, 'tmp'));
  found.push(
    ...temporary.filter((name) => name.startsWith('goodgate-')).map((name) => `left behind: ${name}`),
  );
  return found;
}
