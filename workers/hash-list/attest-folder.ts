import { lstat } from 'node:fs/promises';
import { hostname } from 'node:os';
import { basename, join } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';
import type { CardCheck } from '../../jobs/hash-list/card-check.js';
import type { HashFormat } from '../../jobs/hash-list/hash-format.js';
import { replaceFile, writeWhole } from '../batch/write-whole.js';
import { hashesOfDirectories } from './check-directories.js';
import {
  below,
  type CardHistory,
  type ExaminedCard,
  type ExaminedFile,
  type ExamineOptions,
  examineCard,
  isIgnored,
  joined,
  liesIn,
} from './examine-card.js';
import { demandsOf } from './expected-files.js';
import type { Generation, HashRecord, ListedDirectory, ListedFile, ListedReference } from './generation.js';
import { hashOf } from './hasher.js';
import {
  CHAIN_FILE,
  type ChainLink,
  HISTORY_FOLDER,
  type History,
  hasHistory,
  readHistory,
} from './read-history.js';
import { checkFile } from './verify-card.js';
import { chainXml, generationXml } from './write-generation.js';

export interface AttestOptions extends Omit<ExamineOptions, 'format'> {
  /** Default: that of the last generation, or xxh64. */
  readonly format?: HashFormat | undefined;
  /** Patterns to ignore from now on, in the syntax of gitignore, besides those of the last generation. */
  readonly ignore?: readonly string[];
  readonly version: string;
  readonly now: Date;
}

export interface Attested {
  /** The generations that were written, one for each list, inner before outer. Absolute paths. */
  readonly written: readonly string[];
  readonly files: number;
  readonly bytes: number;
  readonly format: HashFormat;
  /** Files of earlier generations that are not as listed any more; they are in the new one as failed. */
  readonly changed: readonly string[];
  readonly missing: readonly string[];
}

const USUAL_FORMAT: HashFormat = 'xxh64';

/**
 * Writes the next generation of the hash list of a folder, and of every folder in it that has its own: files
 * that are listed already are verified, new ones are added, directory hashes and chain are renewed. Nothing
 * is written unless every file could be read.
 *
 * @throws GoodgateError `missing-file`, `bad-document`, `file-changed`, `cannot-write`, `disk-full`,
 * `interrupted`
 */
export async function attestFolder(root: string, options: AttestOptions): Promise<Attested> {
  const format = options.format ?? (await formatInUse(root));
  const card = await examineCard(root, { ...options, format });
  const before = card.histories.some(({ base }) => base === '')
    ? card.histories
    : [newHistory(root), ...card.histories];
  const histories = before.map((history) => ignoring(history, options.ignore ?? []));
  requireWhole(card, histories);
  for (const { folder } of histories.map(({ history }) => history)) await requireNoLink(folder);
  const texts: GenerationText[] = [];
  // Inner lists first: the outer ones name their C4.
  for (const history of [...histories].reverse()) {
    const references = texts
      .filter(({ base }) => nearest(histories, base) === history)
      .map(({ base, link: { name, c4 } }) => ({
        path: below(joined(base, `${HISTORY_FOLDER}/${name}`), history.base),
        c4,
      }));
    const generation = await nextGeneration(card, history, histories, { ...options, format, references });
    texts.push(await textOf(history, generation, options.now));
  }
  // Nothing is written before all of it can be.
  for (const text of texts) await writeGeneration(text);
  await options.journal?.remove();
  const changed = card.files.filter((file) => checkFile(file).outcome === 'changed');
  return {
    written: texts.map(({ base, link }) => join(root, base, HISTORY_FOLDER, link.name)),
    files: card.files.length,
    bytes: card.files.reduce((sum, { file }) => sum + file.bytes, 0),
    format,
    changed: changed.map(({ file }) => file.path),
    missing: card.missing,
  };
}

/** As the words of `verify`, for who wants to know how an attest ended. */
export function attestedVerdict({ changed, missing }: Attested): CardCheck['verdict'] {
  return changed.length + missing.length > 0 ? 'fail' : 'pass';
}

async function formatInUse(root: string): Promise<HashFormat> {
  const { generations } = await readHistory(root).catch((error: unknown) => {
    if (error instanceof GoodgateError) throw error;
    return { generations: [] };
  });
  const last = generations.at(-1)?.generation;
  const format = last?.directories[0]?.hashes[0]?.format ?? last?.files[0]?.hashes[0]?.format;
  // Nothing new is written in the format the standard left.
  return format === undefined || format === 'xxh32' ? USUAL_FORMAT : format;
}

function newHistory(folder: string): CardHistory {
  const history = { folder, chain: [], generations: [], faults: [] };
  return { base: '', history, demands: demandsOf(history) };
}

/** What is ignored from now on stays out of this generation already, unless an earlier one lists it. */
function ignoring(of: CardHistory, ignore: readonly string[]): CardHistory {
  if (ignore.length === 0) return of;
  const { history, demands } = of;
  const last = history.generations.at(-1)?.generation;
  const generation: Generation = {
    ...{ created: '', hostname: '', tool: '', toolVersion: '', references: [] },
    ...{ files: last?.files ?? [], directories: demands.directories },
    ignore: [...demands.patterns, ...ignore],
  };
  const next = { number: 0, name: '', c4: '', generation };
  return { ...of, demands: demandsOf({ generations: [...history.generations, next] }) };
}

/** A list is written where it is read: never through a link to somewhere else. */
async function requireNoLink(folder: string): Promise<void> {
  const home = join(folder, HISTORY_FOLDER);
  const found = await lstat(home).catch(() => null);
  if (found === null || found.isDirectory()) return;
  throw new GoodgateError('bad-option', {
    what: 'it is a link or a file; the hash list is written into a folder of this name',
    where: home,
    next: 'take it away, and attest again',
  });
}

/** The list an inner list is named by. */
function nearest(histories: readonly CardHistory[], base: string): CardHistory | undefined {
  return histories.findLast((each) => each.base !== base && liesIn(base, each.base));
}

function requireWhole({ files, tree }: ExaminedCard, histories: readonly CardHistory[]): void {
  const fault = histories.flatMap(({ base, history }) =>
    history.faults.map((each) => ({ base, ...each })),
  )[0];
  if (fault !== undefined) {
    throw new GoodgateError('bad-document', {
      what: `the hash list is not whole, so no generation can follow it: ${fault.why}`,
      where: joined(fault.base, fault.path),
      next: 'copy the list once more from where the card was copied; goodgate verify tells all its faults',
    });
  }
  const unread = files.find(({ file, hashed }) => 'reason' in hashed && !isIgnored(file.path, histories));
  if (unread !== undefined && 'reason' in unread.hashed) {
    throw new GoodgateError('file-changed', {
      what: `nothing was written: ${unread.hashed.reason}`,
      where: unread.file.path,
      next: 'mend it, and attest again: what was hashed need not be hashed again',
    });
  }
  const odd = tree.odd.find(({ path }) => !isIgnored(path, histories));
  if (odd !== undefined) {
    throw new GoodgateError('bad-option', {
      what: `nothing was written: ${odd.why}`,
      where: odd.path,
      next: 'take it away, or ignore it with --ignore PATTERN',
    });
  }
}

interface GenerationText {
  readonly base: string;
  readonly history: History;
  readonly text: string;
  readonly link: ChainLink;
}

interface GenerationOptions extends AttestOptions {
  readonly format: HashFormat;
  readonly references: readonly ListedReference[];
}

async function nextGeneration(
  card: ExaminedCard,
  history: CardHistory,
  histories: readonly CardHistory[],
  { format, version, now, references }: GenerationOptions,
): Promise<Generation> {
  const { demands } = history;
  const owned = card.files.filter(
    ({ file, owner }) =>
      (owner?.base ?? '') === history.base && !demands.ignores(below(file.path, history.base)),
  );
  return {
    ...emptyGeneration(now, version),
    ignore: demands.patterns,
    files: owned.map((file) => listedFile(file, history.base, format)),
    directories: await listedDirectories(card, history, histories, format),
    references,
  };
}

function emptyGeneration(now: Date, version: string): Generation {
  return {
    ...{ created: moment(now), hostname: hostname(), tool: 'goodgate', toolVersion: version },
    ...{ ignore: [], files: [], directories: [], references: [] },
  };
}

/** In UTC and whole seconds, as names and elements of a list have it. */
function moment(now: Date): string {
  return now.toISOString().replace(/\.\d+Z$/, 'Z');
}

/**
 * What the new generation says of a file. A format it was not listed in before is added only beside one that
 * was verified (clause 5.6.4; third example scenario of the standard).
 */
function listedFile({ file, hashed, expected }: ExaminedFile, base: string, format: HashFormat): ListedFile {
  const found = 'hashes' in hashed ? hashed.hashes : new Map<HashFormat, string>();
  const isNew = expected === null || expected.hashes.size === 0;
  const known: HashRecord[] = [...(expected?.hashes ?? [])].map(([each, value]) => ({
    ...{ format: each, value: found.get(each) ?? '' },
    action: found.get(each) === value ? 'verified' : 'failed',
  }));
  const isWhole = known.every(({ action }) => action === 'verified');
  const added: HashRecord[] =
    isWhole && !known.some((each) => each.format === format)
      ? [{ format, value: found.get(format) ?? '', action: isNew ? 'original' : 'verified' }]
      : [];
  return {
    path: below(file.path, base),
    bytes: file.bytes,
    modified: file.modified,
    hashes: [...known, ...added].sort((a, b) => (a.format < b.format ? -1 : 1)),
    previousPath: null,
  };
}

/** The folder itself, the folders in it, and those with a list of their own, but nothing inside these. */
async function listedDirectories(
  card: ExaminedCard,
  history: CardHistory,
  histories: readonly CardHistory[],
  format: HashFormat,
): Promise<ListedDirectory[]> {
  const hashes = await hashesOfDirectories(card, history, format);
  const times = new Map(card.tree.directories.map(({ path, modified }) => [path, modified]));
  return [...(hashes ?? [])]
    .map(([path, found]) => ({
      ...{ path, modified: times.get(joined(history.base, path)) ?? null },
      hashes: [{ format, ...found }],
    }))
    .filter(
      ({ path }) => path === '' || nearest(histories, joined(history.base, path))?.base === history.base,
    )
    .sort((a, b) => (a.path < b.path ? -1 : 1));
}

/** A generation as it is to be written, with its line of the chain. */
async function textOf(
  { base, history }: CardHistory,
  generation: Generation,
  now: Date,
): Promise<GenerationText> {
  const number = history.chain.length + 1;
  const day = moment(now).replace('T', '_').replaceAll(':', '');
  const name = `${String(number).padStart(4, '0')}_${basename(history.folder)}_${day}.mhl`;
  const text = [...generationXml(generation)].join('');
  const c4 = await hashOf('c4', [Buffer.from(text, 'utf8')]);
  return { base, history, text, link: { number, name, c4 } };
}

/**
 * Generation first, then the chain that names it: between the two a reader finds a generation that the chain
 * does not know, and says so.
 */
async function writeGeneration({ history, text, link }: GenerationText): Promise<void> {
  const home = join(history.folder, HISTORY_FOLDER);
  const chainNow = (await hasHistory(history.folder)) ? (await readHistory(history.folder)).chain : [];
  if (chainNow.length !== history.chain.length) {
    throw new GoodgateError('folder-busy', {
      what: 'another generation was written meanwhile',
      where: home,
      next: 'attest again',
    });
  }
  await writeWhole(join(home, link.name), text);
  await replaceFile(join(home, CHAIN_FILE), chainXml([...history.chain, link]));
}
