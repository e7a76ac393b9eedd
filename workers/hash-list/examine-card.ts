import { stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';
import type { HashFormat } from '../../jobs/hash-list/hash-format.js';
import { type Demands, demandsOf, type Expected } from './expected-files.js';
import { type Hashed, hashFiles } from './hash-files.js';
import type { Journal } from './journal.js';
import { type History, hasHistory, readHistory } from './read-history.js';
import { type CardFile, type CardTree, walkCard } from './walk-card.js';

/** A hash list, where it lies below the card ('' is the card), and what it demands. */
export interface CardHistory {
  readonly base: string;
  readonly history: History;
  readonly demands: Demands;
}

export interface ExaminedFile {
  readonly file: CardFile;
  readonly formats: readonly HashFormat[];
  readonly hashed: Hashed;
  /** The list the file belongs in: the nearest above it; null where there is none. */
  readonly owner: CardHistory | null;
  /** What the lists above it say; null where none names it. */
  readonly expected: Expected | null;
}

export interface ExaminedCard {
  readonly tree: CardTree;
  /** Outer before inner. */
  readonly histories: readonly CardHistory[];
  /** All but what the lists ignore. */
  readonly files: readonly ExaminedFile[];
  readonly missing: readonly string[];
}

export interface CardProgress {
  readonly files: { readonly done: number; readonly total: number };
  /** `known`: read by an earlier pass that was stopped. */
  readonly bytes: { readonly done: number; readonly total: number; readonly known: number };
}

export interface ExamineOptions {
  /** A format every file is hashed in, whatever the lists ask. */
  readonly format?: HashFormat | undefined;
  readonly journal?: Journal | undefined;
  readonly signal?: AbortSignal | undefined;
  readonly onProgress?: ((progress: CardProgress) => void) | undefined;
}

/**
 * Reads a card's lists and hashes all its files, each once, in every format that is asked of it.
 *
 * @throws GoodgateError `missing-file`, `bad-document`, `interrupted`, `cannot-write`, `disk-full`
 */
export async function examineCard(root: string, options: ExamineOptions): Promise<ExaminedCard> {
  await requireFolder(root);
  const tree = await walk(root, options.signal);
  const histories: CardHistory[] = [];
  for (const base of [...tree.histories].sort()) {
    const history = await readHistory(join(root, base));
    histories.push({ base, history, demands: demandsOf(history) });
  }
  const names = matchNames(tree, histories);
  const planned = tree.files.flatMap((file) => planFile(file, histories, names, options.format));
  const hashed = await hashPlanned(root, planned, options);
  return {
    tree,
    histories,
    files: planned.map((each, index) => ({
      ...each,
      hashed: hashed[index] ?? { reason: 'it was not read' },
    })),
    missing: names.missing,
  };
}

async function requireFolder(root: string): Promise<void> {
  const found = await stat(root).catch(() => null);
  if (found?.isDirectory()) return;
  throw new GoodgateError('missing-file', {
    what: found === null ? 'there is no such folder' : 'it is a file, not a folder',
    where: root,
    next: 'name the folder of the card, and check that its disk is mounted',
  });
}

async function walk(root: string, signal?: AbortSignal): Promise<CardTree> {
  try {
    return await walkCard(root, signal);
  } catch (cause) {
    if (signal?.aborted !== true) throw cause;
    throw new GoodgateError('interrupted', { what: 'stopped while listing files', where: root, cause });
  }
}

/** @throws GoodgateError `missing-file` where neither the card nor a folder in it has a hash list */
export async function requireHistory(root: string, histories: readonly CardHistory[]): Promise<void> {
  if (histories.length > 0) return;
  const above = await historyAbove(dirname(root));
  throw new GoodgateError('missing-file', {
    what: 'it has no hash list (no folder ascmhl in it)',
    where: root,
    next:
      above === null
        ? 'goodgate attest FOLDER writes one, of the files as they are now'
        : `it is covered by the list of the folder above: goodgate verify ${above}`,
  });
}

/** The nearest folder with a hash list, the one given or one above it. */
export async function historyAbove(folder: string): Promise<string | null> {
  for (let at = folder; ; at = dirname(at)) {
    if (await hasHistory(at)) return at;
    if (dirname(at) === at) return null;
  }
}

export function liesIn(path: string, base: string): boolean {
  return base === '' || path === base || path.startsWith(`${base}/`);
}

/** Whether the nearest list above a path leaves it out. */
export function isIgnored(path: string, histories: readonly CardHistory[]): boolean {
  const owner = histories.findLast(({ base }) => base !== path && liesIn(path, base));
  return owner?.demands.ignores(below(path, owner.base)) ?? false;
}

/** Path below the folder of a list. */
export function below(path: string, base: string): string {
  return base === '' ? path : path.slice(base.length + 1);
}

export function joined(base: string, path: string): string {
  return base === '' ? path : path === '' ? base : `${base}/${path}`;
}

interface Names {
  /** By the path on the card: what the lists say of it. */
  readonly expected: ReadonlyMap<string, Expected>;
  readonly missing: readonly string[];
}

/**
 * Which file of the card each listed path is: one of the same name, or else one whose name is the same text
 * written with other accents (Unicode NFC and NFD), as file systems make of each other's.
 */
function matchNames(tree: CardTree, histories: readonly CardHistory[]): Names {
  const onCard = new Set(tree.files.map(({ path }) => path));
  const composed = new Map(tree.files.map(({ path }) => [path.normalize('NFC'), path]));
  const expected = new Map<string, Expected>();
  const missing = new Set<string>();
  for (const { base, demands } of histories) {
    for (const [listed, demand] of demands.files) {
      const path = joined(base, listed);
      const found = onCard.has(path) ? path : composed.get(path.normalize('NFC'));
      if (found === undefined) missing.add(path);
      else expected.set(found, merged(expected.get(found), demand));
    }
  }
  return { expected, missing: [...missing].sort() };
}

/** The outer list may hold a file from before the inner one was begun. */
function merged(outer: Expected | undefined, inner: Expected): Expected {
  if (outer === undefined) return inner;
  const clash = [...inner.hashes].find(([format, value]) => (outer.hashes.get(format) ?? value) !== value);
  return {
    bytes: outer.bytes ?? inner.bytes,
    hashes: new Map([...inner.hashes, ...outer.hashes]),
    contradiction: outer.contradiction ?? inner.contradiction ?? clash?.[0] ?? null,
  };
}

function planFile(
  file: CardFile,
  histories: readonly CardHistory[],
  { expected }: Names,
  format: HashFormat | undefined,
): Omit<ExaminedFile, 'hashed'>[] {
  const covering = histories.filter(({ base }) => liesIn(file.path, base));
  const owner = covering.at(-1) ?? null;
  const demand = expected.get(file.path) ?? null;
  if (demand === null && (owner?.demands.ignores(below(file.path, owner.base)) ?? false)) return [];
  const formats = new Set<HashFormat>([
    ...(demand?.hashes.keys() ?? []),
    ...covering.flatMap(({ demands }) =>
      demands.directories.flatMap(({ hashes }) => hashes.map((each) => each.format)),
    ),
    ...(format === undefined ? [] : [format]),
  ]);
  return [{ file, formats: [...formats].sort(), owner, expected: demand }];
}

type Planned = Omit<ExaminedFile, 'hashed'>;

async function hashPlanned(
  root: string,
  planned: readonly Planned[],
  { journal, signal, onProgress }: ExamineOptions,
): Promise<Hashed[]> {
  const known = planned.map(({ file, formats }) => journal?.find(file, formats) ?? null);
  const todo = planned.flatMap(({ file, formats }, index) =>
    known[index] === null ? [{ path: file.path, formats, file, index }] : [],
  );
  const sum = (files: readonly { file: CardFile }[]): number =>
    files.reduce((total, { file }) => total + file.bytes, 0);
  const total = sum(planned);
  const knownBytes = total - sum(todo);
  let [filesDone, bytesDone] = [planned.length - todo.length, knownBytes];
  const tell = (): void =>
    onProgress?.({
      files: { done: filesDone, total: planned.length },
      bytes: { done: bytesDone, total, known: knownBytes },
    });
  tell();
  const hashed = await hashFiles(root, todo, {
    signal,
    onBytes: (bytes) => {
      bytesDone += bytes;
      tell();
    },
    onFile: ({ file }, result) => {
      filesDone += 1;
      if ('hashes' in result) journal?.add(file, result.hashes);
      tell();
    },
  });
  const results = new Map(todo.map(({ index }, at) => [index, hashed[at]]));
  return planned.map((_, index): Hashed => {
    const before = known[index] ?? null;
    return before === null ? (results.get(index) ?? { reason: 'it was not read' }) : { hashes: before };
  });
}
