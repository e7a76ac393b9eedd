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

/** How often one document may repeat what an anchor names: enough for people, too little for a bomb. */
const MAX_ALIASES = 100;
/** Problems of one document that are told. */
const TOLD_AT_MOST = 20;
/** Entries from which a list is tried entry by entry first. */
const LONG_LIST = 1_000;

export interface Place {
  readonly line: number;
  /** Null where lines are all that is known (CSV). */
  readonly column: number | null;
}

/** A document read but not yet checked: plain data, and where each part of it stood. */
export interface ReadDocument {
  readonly file: string;
  readonly data: unknown;
  /**
   * Line and column, from 1, of the value at `path`, or of the key named. The nearest part that exists when
   * there is none.
   */
  place(path: readonly PropertyKey[], key: string | null): Place;
}

/**
 * How large a document of one kind may be: more is a mistake or a trap, and would take minutes and gigabytes.
 */
export interface DocumentLimits {
  readonly bytes: number;
  /**
   * Keys, values, brackets and commas, as the reader of YAML counts them; each takes some 400 bytes of
   * memory.
   */
  readonly tokens: number;
}

/** What people write by hand: targets, waivers. */
export const SMALL_DOCUMENT: DocumentLimits = { bytes: 1024 * 1024, tokens: 200_000 };
/** Ten thousand clips with their facts, as `scan` writes them. */
export const LARGE_DOCUMENT: DocumentLimits = { bytes: 32 * 1024 * 1024, tokens: 6_000_000 };

/** Reads a text file of bounded size. Errors: missing-file, bad-document. */
export async function readText(file: string, { bytes: most }: DocumentLimits): Promise<string> {
  const bytes = await readPlainFile(file, most);
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw badDocument(file, 'the file is not UTF-8 text');
  }
}

/**
 * Reads YAML 1.2 (of which JSON is a part) without running anything in it. Errors: bad-document, naming line
 * and column, for bad syntax, two equal keys, tags, several documents in one, repetition beyond reason, and
 * more tokens than the limits allow.
 */
export function readYaml(text: string, file: string, limits: DocumentLimits): ReadDocument {
  requireFewTokens(text, file, limits);
  const lines = new LineCounter();
  try {
    const document = parseDocument(text, {
      lineCounter: lines,
      version: '1.2',
      prettyErrors: false,
      // The library holds every key against every other one; a map of 30,000 keys took a minute.
      uniqueKeys: false,
    });
    const complaints = [...document.errors, ...document.warnings].map(({ message, pos }) => ({
      offset: pos[0],
      text: oneLine(message),
    }));
    if (complaints.length === 0) complaints.push(...repeatedKeys(document));
    if (complaints.length > 0) {
      const told = complaints.slice(0, TOLD_AT_MOST);
      throw listProblems(
        file,
        told.map(({ offset, text }) => ({ place: placeOf(lines, offset), text })),
        complaints.length > told.length,
      );
    }
    const data: unknown = document.toJS({ maxAliasCount: MAX_ALIASES });
    return { file, data, place: (path, key) => findPlace(document, lines, path, key) };
  } catch (cause) {
    if (cause instanceof GoodgateError) throw cause;
    // Too many aliases (ReferenceError) or too deep a nest (RangeError): not a document people write.
    throw badDocument(file, `the document cannot be read: ${oneLine(messageOf(cause))}`, cause);
  }
}

/** Counted without building anything: a document of commas would fill the memory before it is refused. */
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
          if (found.length > TOLD_AT_MOST) return visit.BREAK;
        }
        seen.add(key.value);
      }
      return undefined;
    },
  });
  return found;
}

/**
 * Checks a document against its schema. Errors: bad-document with the first twenty problems, their places,
 * and what is allowed there. `reword` may say it better, or null to leave it.
 */
export function checkDocument<T extends z.ZodType>(
  read: ReadDocument,
  schema: T,
  reword: (problem: DocumentProblem) => string | null = () => null,
): z.output<T> {
  const data = cutAfterFaults(read.data, schema);
  const result = schema.safeParse(data);
  if (result.success) return result.data;
  const problems = problemsOf(result.error, schema, data, TOLD_AT_MOST + 1).map((problem) => ({
    ...problem,
    message: reword(problem) ?? problem.message,
  }));
  const told = problems.slice(0, TOLD_AT_MOST);
  throw listProblems(
    read.file,
    told.map((problem) => ({ place: read.place(problem.path, problem.key), text: sentence(problem) })),
    problems.length > told.length,
  );
}

/**
 * Long lists are tried entry by entry and cut after the last fault that will be told: the schema would
 * otherwise write a complaint for each of a million entries. What is cut has faults enough to be refused.
 */
function cutAfterFaults(data: unknown, schema: z.ZodType): unknown {
  if (!(schema instanceof z.ZodObject) || typeof data !== 'object' || data === null) return data;
  const cut: Record<string, unknown> = {};
  for (const [key, value] of Object.entries(data)) {
    const field: unknown = schema.shape[key];
    if (!Array.isArray(value) || value.length < LONG_LIST || !(field instanceof z.ZodArray)) continue;
    const entry: z.core.$ZodType = field.element;
    let faults = 0;
    const end = value.findIndex((each) => {
      if (!z.safeParse(entry, each).success) faults += 1;
      return faults > TOLD_AT_MOST;
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
 * The error for a document with problems at known places: one is told in a sentence, several in a list;
 * `isMore`: not all are told.
 */
export function listProblems(
  file: string,
  problems: readonly { place: Place; text: string }[],
  isMore = false,
): GoodgateError {
  const at = ({ line, column }: Place): string => (column === null ? `${line}` : `${line}:${column}`);
  const [first] = problems;
  if (first === undefined) return badDocument(file, 'the document does not fit');
  if (problems.length === 1) return badDocument(`${file}:${at(first.place)}`, first.text);
  const lines = problems.map(({ place, text }) => `\n  ${oneLine(file)}:${at(place)}: ${oneLine(text)}`);
  const head = isMore
    ? `more than ${problems.length} problems, the first of them`
    : `${problems.length} problems`;
  return badDocument(file, `${head}${lines.join('')}`);
}

function badDocument(where: string, what: string, cause?: unknown): GoodgateError {
  return new GoodgateError('bad-document', {
    what,
    where,
    next: 'Correct the document and try again.',
    cause,
  });
}

function sentence({ path, message }: DocumentProblem): string {
  return path.length === 0 ? message : `${formatPath(path)}: ${message}`;
}

function messageOf(cause: unknown): string {
  return cause instanceof Error ? cause.message : String(cause);
}

function oneLine(text: string): string {
  return text.replace(/\s+/g, ' ').trim();
}

function placeOf(lines: LineCounter, offset: number): Place {
  const { line, col } = lines.linePos(offset);
  return { line: Math.max(1, line), column: Math.max(1, col) };
}

function findPlace(
  document: Document,
  lines: LineCounter,
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
    if (!isCollection(node) || !node.has(part)) return placeOf(lines, offset);
    visit(node.get(part, true));
  }
  const pair =
    key !== null && isCollection(node)
      ? node.items.find((item) => isPair(item) && isScalar(item.key) && String(item.key.value) === key)
      : undefined;
  if (isPair(pair)) visit(pair.key);
  return placeOf(lines, offset);
}
