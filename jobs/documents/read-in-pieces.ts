import { CORE_SCHEMA, load } from 'js-yaml';
import { z } from 'zod';
import { GoodgateError } from '../errors.js';
import { problemsOf } from './document-problems.js';
import { isRecord } from './is-record.js';
import {
  checkDocument,
  type DocumentLimits,
  firstProblems,
  LARGE_DOCUMENT,
  type Problem,
  readYaml,
  SMALL_DOCUMENT,
  sentence,
  textOf,
} from './load-document.js';
import type { Piece, Pieces } from './pieces.js';

/** Beyond so many nothing more is looked for. */
const ENOUGH_PROBLEMS = 20;

/** A document with one long list. */
export interface LongDocument<D, E> {
  readonly list: string;
  readonly document: z.ZodType<D>;
  readonly entry: z.ZodType<E>;
}

/**
 * Reads a long document entry by entry, each with a quick parser; where that finds anything wrong, the same
 * entry is read once more by the one that knows lines and columns. What is refused, and in which words, is as
 * when the whole is read by `readYaml` and `checkDocument`; memory goes with the entries that are kept.
 *
 * @returns the document with its list empty, and the entries
 * @throws GoodgateError `bad-document`
 */
export function readInPieces<D, E>(
  bytes: Uint8Array,
  file: string,
  pieces: Pieces,
  about: LongDocument<D, E>,
): { document: D; entries: E[] } {
  const document = readRest(bytes, file, pieces, about.document);
  const entries: E[] = [];
  const problems: Problem[] = [];
  for (const [index, piece] of pieces.entries.entries()) {
    requireLength(piece.to - piece.from, SMALL_DOCUMENT, file, `in ${about.list}[${index}]`);
    const text = textOf(bytes.subarray(piece.from, piece.to), file);
    const quick = about.entry.safeParse(quickly(() => quickEntry(text, pieces.isJson, piece.keys)));
    if (quick.success) {
      entries.push(quick.data);
      continue;
    }
    const careful = readEntry(text, file, { isJson: pieces.isJson, piece, index, ...about });
    if ('entry' in careful) entries.push(careful.entry);
    else problems.push(...careful.problems);
    if (problems.length > ENOUGH_PROBLEMS) break;
  }
  if (problems.length > 0) throw firstProblems(file, problems);
  return { document, entries };
}

function readRest<D>(bytes: Uint8Array, file: string, pieces: Pieces, schema: z.ZodType<D>): D {
  const { isJson, list, keys } = pieces;
  requireLength(bytes.length - (list.to - list.from), LARGE_DOCUMENT, file, 'outside its list');
  const before = textOf(bytes.subarray(0, list.from), file);
  const behind = textOf(bytes.subarray(list.to), file);
  const text = (lines: number): string => `${before} []${'\n'.repeat(lines)}${behind}`;
  const quick = schema.safeParse(quickly(() => quickValue(text(1), isJson, keys)));
  // As many line breaks as there were, so that places are right.
  return quick.success ? quick.data : checkDocument(readYaml(text(list.lines), file, LARGE_DOCUMENT), schema);
}

interface EntryAt<D, E> extends LongDocument<D, E> {
  readonly isJson: boolean;
  readonly piece: Piece;
  readonly index: number;
}

function readEntry<D, E>(
  text: string,
  file: string,
  { isJson, piece: { line, column }, index, list, entry }: EntryAt<D, E>,
): { entry: E } | { problems: Problem[] } {
  // In YAML an entry begins with its dash: a list of one. Of JSON one is made.
  const origin = { line, column: isJson ? column - 1 : column };
  const read = readYaml(isJson ? `[${text}]` : text, file, SMALL_DOCUMENT, origin);
  const one = z.array(entry);
  const result = one.safeParse(read.data);
  const [only] = result.data ?? [];
  if (only !== undefined) return { entry: only };
  const error = result.error ?? new z.ZodError([]);
  const found = problemsOf(error, one, read.data, ENOUGH_PROBLEMS + 1);
  return {
    problems: found.map(({ path, key, message }) => ({
      place: read.place(path, key),
      text: sentence({ path: [list, index, ...path.slice(1)], message }),
    })),
  };
}

/** @throws GoodgateError `bad-document` for what is longer than a document of its kind. */
export function requireLength(
  length: number,
  { bytes: most }: DocumentLimits,
  file: string,
  where: string,
): void {
  if (length <= most) return;
  throw new GoodgateError('bad-document', {
    what: `the document has ${length} bytes ${where}; at most ${most} are read`,
    where: file,
    next: 'Split it, or check that it is the right file.',
  });
}

/** What the quick parsers refuse is read once more with care. */
function quickly(read: () => unknown): unknown {
  try {
    return read();
  } catch {
    return undefined;
  }
}

function quickEntry(text: string, isJson: boolean, keys: number | null): unknown {
  const value = quickValue(text, isJson, keys);
  return isJson ? value : Array.isArray(value) && value.length === 1 ? value[0] : undefined;
}

/** Something a name is given to, and something that is called by a name. */
const ANCHOR = /(?:^|[\s,[{:?-])&\S/;
const ALIAS = /(?:^|[\s,[{:?-])\*\S/;

function quickValue(text: string, isJson: boolean, keys: number | null): unknown {
  if (isJson) {
    const value: unknown = JSON.parse(text);
    if (keysIn(value) === keys) return value;
    throw new SyntaxError('a key stands twice');
  }
  // A few names can stand for a value of any size.
  if (ANCHOR.test(text) && ALIAS.test(text)) throw new SyntaxError('it has aliases');
  return load(text, { schema: CORE_SCHEMA });
}

function keysIn(value: unknown): number {
  if (Array.isArray(value)) return value.reduce<number>((sum, each) => sum + keysIn(each), 0);
  if (!isRecord(value)) return 0;
  const inside: unknown[] = Object.values(value);
  return inside.reduce<number>((sum, each) => sum + keysIn(each), inside.length);
}
