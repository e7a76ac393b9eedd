import { distance } from 'fastest-levenshtein';
import { z } from 'zod';
import { isRecord } from './is-record.js';

/** One thing that is wrong in a document, in words. */
export interface DocumentProblem {
  /** From the top of the document to the value, or to the map a key is missing from. */
  readonly path: readonly PropertyKey[];
  /** A key that is not allowed there; the position is that of the key. */
  readonly key: string | null;
  readonly message: string;
}

/** `require.loudness.target`, `clips[2].file`. */
export function formatPath(path: readonly PropertyKey[]): string {
  return path.reduce<string>((text, part) => {
    if (typeof part === 'number') return `${text}[${part}]`;
    return text === '' ? String(part) : `${text}.${String(part)}`;
  }, '');
}

/** Longer than any allowed word; the time of a comparison grows with the length. */
const LONGEST_WORD = 64;

/** The word out of `allowed` that needs the fewest corrections; null when none is near. */
export function nearestWord(given: string, allowed: readonly string[]): string | null {
  if (given === '' || given.length > LONGEST_WORD) return null;
  let best: string | null = null;
  let fewest = Math.max(2, Math.ceil(given.length / 3)) + 1;
  for (const word of allowed) {
    const corrections = distance(given.toLowerCase(), word.toLowerCase());
    if (corrections < fewest) [best, fewest] = [word, corrections];
  }
  return best;
}

/**
 * The first problems, at most `most`, of `data` against the schema, in the order of the schema; empty when it
 * fits.
 */
export function problemsOf(
  error: z.ZodError,
  schema: z.ZodType,
  data: unknown,
  most: number,
): DocumentProblem[] {
  const shape = z.toJSONSchema(schema, { io: 'input', unrepresentable: 'any' });
  const problems: DocumentProblem[] = [];
  for (const issue of error.issues) {
    const few = issue.code === 'unrecognized_keys' ? { ...issue, keys: issue.keys.slice(0, most) } : issue;
    problems.push(...problemsOfIssue(few, [], shape, data));
    if (problems.length >= most) break;
  }
  return problems.slice(0, most);
}

type Issue = z.core.$ZodIssue;

function problemsOfIssue(
  issue: Issue,
  above: readonly PropertyKey[],
  shape: unknown,
  data: unknown,
): DocumentProblem[] {
  const path = [...above, ...issue.path];
  const given = valueAt(data, path);
  const problem = (message: string): DocumentProblem[] => [{ path, key: null, message }];
  switch (issue.code) {
    case 'unrecognized_keys': {
      const allowed = keysAt(shape, path);
      return issue.keys.map((key) => ({ path, key, message: unknownKey(key, allowed) }));
    }
    case 'invalid_union':
      return problemsOfUnion(issue, path, shape, data, given);
    case 'invalid_value':
    case 'custom': {
      const allowed = wordsOfIssue(issue);
      const nearest = typeof given === 'string' ? nearestWord(given, allowed) : null;
      return problem(wrong(given, issue.code === 'custom' ? issue.message : list(allowed), nearest));
    }
    case 'invalid_type':
      return problem(wrong(given, kindName(issue.expected), null));
    case 'too_small':
    case 'too_big':
      return problem(wrong(given, limitsAt(shape, path) ?? bound(issue), null));
    default:
      return problem(wrong(given, issue.message, null));
  }
}

/** For a value that may take several forms: the problems with the nearest form. */
function problemsOfUnion(
  issue: z.core.$ZodIssueInvalidUnion,
  path: readonly PropertyKey[],
  shape: unknown,
  data: unknown,
  given: unknown,
): DocumentProblem[] {
  const inside = issue.errors.filter((form) =>
    form.every((i) => i.path.length > 0 || i.code === 'unrecognized_keys'),
  );
  const nearest = inside.sort((a, b) => weight(a) - weight(b))[0];
  if (nearest !== undefined && typeof given === 'object') {
    return nearest.flatMap((i) => problemsOfIssue(i, path, shape, data));
  }
  const forms = issue.errors.flatMap((form) => form.slice(0, 1)).map((i) => formName(i));
  const words = issue.errors.flat().flatMap(wordsOfIssue);
  const word = typeof given === 'string' ? nearestWord(given, words) : null;
  return [{ path, key: null, message: wrong(given, [...new Set(forms)].join(', or '), word) }];
}

/** A missing key says less about the intended form than a key that is not allowed. */
function weight(form: readonly Issue[]): number {
  return form.reduce((sum, i) => sum + (i.code === 'unrecognized_keys' ? 2 * i.keys.length : 1), 0);
}

/** The words that would have done; a schema that reads words its own way gives them as `params.words`. */
function wordsOfIssue(issue: Issue): string[] {
  if (issue.code === 'invalid_value') return issue.values.map(String);
  const words: unknown = issue.code === 'custom' ? issue.params?.words : null;
  return Array.isArray(words) ? words.map(String) : [];
}

function formName(issue: Issue): string {
  if (issue.code === 'invalid_value') return list(issue.values.map(String));
  if (issue.code === 'too_small' || issue.code === 'too_big') return bound(issue);
  return issue.code === 'invalid_type' ? kindName(issue.expected) : issue.message;
}

/** The nearest word first, since it is usually the one intended. */
function wrong(given: unknown, allowed: string, nearest: string | null): string {
  if (given === undefined) return `is missing; expected: ${allowed}`;
  return `given ${describe(given)}${nearestText(nearest)}; allowed: ${allowed}`;
}

function unknownKey(key: string, allowed: readonly string[]): string {
  const words = allowed.length === 0 ? '' : `; allowed: ${list(allowed)}`;
  return `unknown key ${describe(key)}${nearestText(nearestWord(key, allowed))}${words}`;
}

function nearestText(nearest: string | null): string {
  return nearest === null ? '' : `; the nearest is ${nearest}`;
}

function describe(value: unknown): string {
  if (value === null) return 'nothing';
  if (Array.isArray(value)) return `a list of ${value.length}`;
  if (typeof value === 'object') return 'a map';
  const text = JSON.stringify(value) ?? String(value);
  return text.length > 60 ? `${text.slice(0, 57)}...` : text;
}

const KIND_NAMES: Readonly<Record<string, string>> = {
  object: 'a map',
  record: 'a map',
  array: 'a list',
  string: 'a text',
  number: 'a number',
  int: 'a whole number',
  boolean: 'true or false',
};
function kindName(expected: string): string {
  return Object.hasOwn(KIND_NAMES, expected) ? (KIND_NAMES[expected] ?? expected) : expected;
}

/** More words than this are listed on demand only: nobody finds one in a paragraph. */
const FEW_WORDS = 8;

function list(words: readonly string[]): string {
  return words.length <= FEW_WORDS
    ? words.join(', ')
    : `${words.length} words, which \`goodgate targets --schema\` lists`;
}

function bound(issue: z.core.$ZodIssueTooSmall | z.core.$ZodIssueTooBig): string {
  const unit = issue.origin === 'string' ? ' characters' : issue.origin === 'array' ? ' entries' : '';
  if (issue.code === 'too_small')
    return `${issue.inclusive === false ? 'more than' : 'at least'} ${issue.minimum}${unit}`;
  return `${issue.inclusive === false ? 'less than' : 'at most'} ${issue.maximum}${unit}`;
}

function valueAt(data: unknown, path: readonly PropertyKey[]): unknown {
  return path.reduce<unknown>(
    (at, part) =>
      typeof at === 'object' && at !== null && Object.hasOwn(at, part) ? Reflect.get(at, part) : undefined,
    data,
  );
}

/** All forms the JSON Schema allows at a path. */
function shapesAt(shape: unknown, path: readonly PropertyKey[]): Record<PropertyKey, unknown>[] {
  let shapes = formsOf(shape);
  for (const part of path) {
    shapes = shapes.flatMap((s) => {
      if (typeof part === 'number') return formsOf(s.items);
      const properties = s.properties;
      return formsOf(
        isRecord(properties) && Object.hasOwn(properties, part) ? properties[part] : s.additionalProperties,
      );
    });
  }
  return shapes;
}

function formsOf(shape: unknown): Record<PropertyKey, unknown>[] {
  if (!isRecord(shape)) return [];
  const forms = [shape.anyOf, shape.oneOf, shape.allOf].filter(Array.isArray).flat();
  return [shape, ...forms.flatMap(formsOf)];
}

function keysAt(shape: unknown, path: readonly PropertyKey[]): string[] {
  return shapesAt(shape, path).flatMap((s) => (isRecord(s.properties) ? Object.keys(s.properties) : []));
}

/** `0 to 1` where a number has both limits. */
function limitsAt(shape: unknown, path: readonly PropertyKey[]): string | null {
  for (const s of shapesAt(shape, path)) {
    const { minimum, maximum } = s;
    const wide = (limit: unknown): boolean =>
      typeof limit !== 'number' || Math.abs(limit) >= Number.MAX_SAFE_INTEGER;
    if (!wide(minimum) && !wide(maximum)) return `${minimum} to ${maximum}`;
  }
  return null;
}
