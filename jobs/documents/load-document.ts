import { readFile, stat } from 'node:fs/promises';
import { type Document, isCollection, isNode, isPair, isScalar, LineCounter, parseDocument } from 'yaml';
import type { z } from 'zod';
import { GoodgateError } from '../errors.js';
import { type DocumentProblem, formatPath, problemsOf } from './document-problems.js';

/** Larger than a manifest of ten thousand clips with facts. */
export const MAX_DOCUMENT_BYTES = 32 * 1024 * 1024;
/** How often one document may repeat what an anchor names: enough for people, too little for a bomb. */
const MAX_ALIASES = 100;

export interface Place {
  readonly line: number;
  /** Null where lines are all that is known (CSV). */
  readonly column: number | null;
}

/** A document read but not yet checked: plain data, and where each part of it stood. */
export interface ReadDocument {
  readonly file: string;
  readonly data: unknown;
  /** Line and column, from 1, of the value at `path`, or of the key named. The nearest part that exists when there is none. */
  place(path: readonly PropertyKey[], key: string | null): Place;
}

/** Reads a text file of bounded size. Errors: missing-file, bad-document. */
export async function readText(file: string): Promise<string> {
  let size: number;
  try {
    const stats = await stat(file);
    if (!stats.isFile()) throw new GoodgateError('missing-file', { what: 'this is not a file', where: file });
    size = stats.size;
  } catch (cause) {
    if (cause instanceof GoodgateError) throw cause;
    throw new GoodgateError('missing-file', {
      what: 'there is no such file, or it cannot be read',
      where: file,
      next: 'Check the path.',
      cause,
    });
  }
  if (size > MAX_DOCUMENT_BYTES) {
    throw badDocument(file, `the document has ${size} bytes; at most ${MAX_DOCUMENT_BYTES} are read`);
  }
  let bytes: Buffer;
  try {
    bytes = await readFile(file);
  } catch (cause) {
    throw new GoodgateError('missing-file', { what: 'the file cannot be read', where: file, cause });
  }
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw badDocument(file, 'the file is not UTF-8 text');
  }
}

/**
 * Reads YAML 1.2 (of which JSON is a part) without running anything in it. Errors: bad-document, naming line and
 * column, for bad syntax, two equal keys, tags, several documents in one, and repetition beyond reason.
 */
export function readYaml(text: string, file: string): ReadDocument {
  const lines = new LineCounter();
  try {
    const document = parseDocument(text, { lineCounter: lines, version: '1.2', prettyErrors: false });
    const complaints = [...document.errors, ...document.warnings];
    if (complaints.length > 0) {
      throw listProblems(
        file,
        complaints.map(({ message, pos }) => ({ place: placeOf(lines, pos[0]), text: oneLine(message) })),
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

/**
 * Checks a document against its schema. Errors: bad-document with every problem, its place, what is allowed. `reword`
 * may say it better, or null to leave it.
 */
export function checkDocument<T extends z.ZodType>(
  read: ReadDocument,
  schema: T,
  reword: (problem: DocumentProblem) => string | null = () => null,
): z.output<T> {
  const result = schema.safeParse(read.data);
  if (result.success) return result.data;
  const problems = problemsOf(result.error, schema, read.data).map((problem) => ({
    ...problem,
    message: reword(problem) ?? problem.message,
  }));
  throw listProblems(
    read.file,
    problems.map((problem) => ({ place: read.place(problem.path, problem.key), text: sentence(problem) })),
  );
}

/** A YAML or JSON file that fits `schema`. Errors: missing-file, bad-document. */
export async function loadDocument<T extends z.ZodType>(file: string, schema: T): Promise<z.output<T>> {
  return checkDocument(readYaml(await readText(file), file), schema);
}

/** The error for a document with problems at known places: one is told in a sentence, several in a list. */
export function listProblems(
  file: string,
  problems: readonly { place: Place; text: string }[],
): GoodgateError {
  const at = ({ line, column }: Place): string => (column === null ? `${line}` : `${line}:${column}`);
  const [first] = problems;
  if (first === undefined) return badDocument(file, 'the document does not fit');
  if (problems.length === 1) return badDocument(`${file}:${at(first.place)}`, first.text);
  const lines = problems.map(({ place, text }) => `\n  ${oneLine(file)}:${at(place)}: ${oneLine(text)}`);
  return badDocument(file, `${problems.length} problems${lines.join('')}`);
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
