import {
  type Document,
  isCollection,
  isNode,
  isPair,
  isScalar,
  Lexer,
  LineCounter,
  parseDocument,
  visit,
} from 'yaml';
import { z } from 'zod';
import { GoodgateError } from '../errors.js';
import { type DocumentProblem, formatPath, problemsOf } from './document-problems.js';
import { readPlainFile } from './read-plain-file.js';

/** How often one document may use YAML aliases: enough for people, too few for a memory bomb. */
const MAX_ALIASES = 100;
/** How many problems of one document are reported. */
const MOST_PROBLEMS = 20;
/** Lists of this length are checked entry by entry first. */
const LONG_LIST = 1_000;

export interface Place {
  readonly line: number;
  /** Null where only the line is known (CSV). */
  readonly column: number | null;
}

/** Lines and columns before a text, from 0: the columns on its first line. */
export interface Origin {
  readonly line: number;
  readonly column: number;
}
const START: Origin = { line: 0, column: 0 };

/** A problem, in words, and where it is. */
export interface Problem {
  readonly place: Place;
  readonly text: string;
}

/** A document that was read but not validated: plain data, and the position of each part. */
export interface ReadDocument {
  readonly file: string;
  readonly data: unknown;
  /**
   * Line and column, from 1, of the value at `path`, or of the key; of the nearest existing part where there
   * is none.
   */
  place(path: readonly PropertyKey[], key: string | null): Place;
}

/**
 * Size limits of one kind of document: a larger one is a mistake or an attack, and would take minutes and
 * gigabytes.
 */
export interface DocumentLimits {
  readonly bytes: number;
  /**
   * Keys, values, brackets and commas, as the YAML lexer counts them; each takes about 400 bytes of memory.
   */
  readonly tokens: number;
}

/** For documents people write by hand: targets, waivers. */
export const SMALL_DOCUMENT: DocumentLimits = { bytes: 1024 * 1024, tokens: 200_000 };
/** For ten thousand clips with their facts, as `scan` writes them; what is longer is read in pieces. */
export const LARGE_DOCUMENT: DocumentLimits = { bytes: 32 * 1024 * 1024, tokens: 6_000_000 };

/** Reads a text file of bounded size. Errors: missing-file, bad-document. */
export async function readText(file: string, { bytes: most }: DocumentLimits): Promise<string> {
  return textOf(await readPlainFile(file, most), file);
}

/** Bytes of a file as text. Errors: bad-document where they are not UTF-8. */
export function textOf(bytes: Uint8Array, file: string): string {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw badDocument(file, 'the file is not UTF-8 text');
  }
}

/**
 * Reads YAML 1.2 (which includes JSON) without executing anything. Errors: bad-document, with line and
 * column, for bad syntax, duplicate keys, tags, several documents in one, too many aliases, and more tokens
 * than the limits allow.
 *
 * @param origin where the text stands in its file, when it is only a piece of it
 */
export function readYaml(
  text: string,
  file: string,
  limits: DocumentLimits,
  origin: Origin = START,
): ReadDocument {
  requireFewTokens(text, file, limits);
  const lines = new LineCounter();
  const placeOf = (offset: number): Place => placeIn(lines, offset, origin);
  try {
    const document = parseDocument(text, {
      lineCounter: lines,
      version: '1.2',
      prettyErrors: false,
      // The library compares every key with every other one; a map of 30,000 keys takes a minute.
      uniqueKeys: false,
    });
    const problems = [...document.errors, ...document.warnings].map(({ message, pos }) => ({
      offset: pos[0],
      text: oneLine(message),
    }));
    if (problems.length === 0) problems.push(...repeatedKeys(document));
    if (problems.length > 0) {
      const told = problems.slice(0, MOST_PROBLEMS + 1);
      throw firstProblems(
        file,
        told.map(({ offset, text }) => ({ place: placeOf(offset), text })),
      );
    }
    const data: unknown = document.toJS({ maxAliasCount: MAX_ALIASES });
    return { file, data, place: (path, key) => findPlace(document, placeOf, path, key) };
  } catch (cause) {
    if (cause instanceof GoodgateError) throw cause;
    // Too many aliases (ReferenceError) or too deep nesting (RangeError): not a document people write.
    throw badDocument(file, `the document cannot be read: ${oneLine(messageOf(cause))}`, cause);
  }
}

/** Counts without building a tree: a document of commas would fill the memory before it is refused. */
function requireFewTokens(text: string, file: string, { tokens: most }: DocumentLimits): void {
  let tokens = 0;
  for (const _ of new Lexer().lex(text)) {
    tokens += 1;
    if (tokens > most) {
      throw badDocument(file, `the document has more than ${most} tokens (keys, values, brackets, commas)`);
    }
  }
}

function repeatedKeys(document: Document): { offset: number; text: string }[] {
  const found: { offset: number; text: string }[] = [];
  visit(document, {
    Map(_, map) {
      const seen = new Set<unknown>();
      for (const { key } of map.items) {
        if (!isScalar(key)) continue;
        if (seen.has(key.value)) {
          found.push({ offset: key.range?.[0] ?? 0, text: 'Map keys must be unique' });
          if (found.length > MOST_PROBLEMS) return visit.BREAK;
        }
        seen.add(key.value);
      }
      return undefined;
    },
  });
  return found;
}

/**
 * Checks a document against its schema. Errors: bad-document with the first twenty problems, their positions,
 * and what is allowed there. `reword` may return a better message, or null.
 */
export function checkDocument<T extends z.ZodType>(
  read: ReadDocument,
  schema: T,
  reword: (problem: DocumentProblem) => string | null = () => null,
): z.output<T> {
  const data = cutAfterProblems(read.data, schema);
  const result = schema.safeParse(data);
  if (result.success) return result.data;
  const problems = problemsOf(result.error, schema, data, MOST_PROBLEMS + 1).map((problem) => ({
    place: read.place(problem.path, problem.key),
    text: sentence({ ...problem, message: reword(problem) ?? problem.message }),
  }));
  throw firstProblems(read.file, problems);
}

/** The error for a document with problems, of which the first twenty are told. */
export function firstProblems(file: string, problems: readonly Problem[]): GoodgateError {
  const listed = problems.slice(0, MOST_PROBLEMS);
  return listProblems(file, listed, problems.length > listed.length);
}

/**
 * Checks long lists entry by entry and cuts them after the last problem that is reported: the schema would
 * otherwise write a message for each of a million entries. What remains is still refused.
 */
function cutAfterProblems(data: unknown, schema: z.ZodType): unknown {
  if (!(schema instanceof z.ZodObject) || typeof data !== 'object' || data === null) return data;
  const cut: Record<string, unknown> = {};
  for (const [key, value] of Object.entries(data)) {
    const field: unknown = schema.shape[key];
    if (!Array.isArray(value) || value.length < LONG_LIST || !(field instanceof z.ZodArray)) continue;
    const entry: z.core.$ZodType = field.element;
    let failures = 0;
    const end = value.findIndex((each) => {
      if (!z.safeParse(entry, each).success) failures += 1;
      return failures > MOST_PROBLEMS;
    });
    if (end >= 0) cut[key] = value.slice(0, end + 1);
  }
  return Object.keys(cut).length === 0 ? data : { ...data, ...cut };
}

/** A YAML or JSON file that fits `schema`. Errors: missing-file, bad-document. */
export async function loadDocument<T extends z.ZodType>(file: string, schema: T): Promise<z.output<T>> {
  return checkDocument(readYaml(await readText(file, SMALL_DOCUMENT), file, SMALL_DOCUMENT), schema);
}

/**
 * The error for a document with problems at known positions: one as a sentence, several as a list; `isMore`:
 * not all are listed.
 */
export function listProblems(file: string, problems: readonly Problem[], isMore = false): GoodgateError {
  const at = ({ line, column }: Place): string => (column === null ? `${line}` : `${line}:${column}`);
  const [first] = problems;
  if (first === undefined) return badDocument(file, 'the document does not fit its schema');
  if (problems.length === 1) return badDocument(`${file}:${at(first.place)}`, first.text);
  const lines = problems.map(({ place, text }) => `\n  ${oneLine(file)}:${at(place)}: ${oneLine(text)}`);
  const head = isMore
    ? `more than ${problems.length} problems, the first of them`
    : `${problems.length} problems`;
  return badDocument(file, `${head}${lines.join('')}`);
}

export function badDocument(where: string, what: string, cause?: unknown): GoodgateError {
  return new GoodgateError('bad-document', {
    what,
    where,
    next: 'Correct the document and try again.',
    cause,
  });
}

/** `clips[2].file: what is wrong with it`. */
export function sentence({ path, message }: Pick<DocumentProblem, 'path' | 'message'>): string {
  return path.length === 0 ? message : `${formatPath(path)}: ${message}`;
}

function messageOf(cause: unknown): string {
  return cause instanceof Error ? cause.message : String(cause);
}

function oneLine(text: string): string {
  return text.replace(/\s+/g, ' ').trim();
}

function placeIn(lines: LineCounter, offset: number, origin: Origin): Place {
  const { line, col } = lines.linePos(offset);
  const column = Math.max(1, col) + (line <= 1 ? origin.column : 0);
  return { line: Math.max(1, line) + origin.line, column };
}

function findPlace(
  document: Document,
  placeOf: (offset: number) => Place,
  path: readonly PropertyKey[],
  key: string | null,
): Place {
  let node: unknown = document.contents;
  let offset = 0;
  const visit = (next: unknown): void => {
    node = next;
    if (isNode(next) && next.range) offset = next.range[0];
  };
  visit(node);
  for (const part of path) {
    if (!isCollection(node) || !node.has(part)) return placeOf(offset);
    visit(node.get(part, true));
  }
  const pair =
    key !== null && isCollection(node)
      ? node.items.find((item) => isPair(item) && isScalar(item.key) && String(item.key.value) === key)
      : undefined;
  if (isPair(pair)) visit(pair.key);
  return placeOf(offset);
}
