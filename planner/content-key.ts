import { createHash } from 'node:crypto';

/**
 * Texts of maps inside, by how JSON writes them: the recipes of ten thousand clips are made of the same few.
 * Only remembered, never needed.
 */
const KNOWN = new Map<string, string>();
const MOST_KNOWN = 2_000;
/** Likewise of what a target requires, which is one large map for all outputs; nobody changes it. */
const LARGE = new WeakMap<object, string>();
const LARGE_CHARACTERS = 500;

/** JSON with keys sorted at every level: equal values give equal text whatever order they were built in. */
function canonical(value: unknown, depth: number): string {
  // As in JSON: nothing at all is null in a list, and no key in a map.
  if (value === null || typeof value !== 'object') return JSON.stringify(value) ?? 'null';
  if (Array.isArray(value)) return `[${value.map((inner) => canonical(inner, depth + 1)).join(',')}]`;
  // Maps further in are small and often the same; the outer ones hold names and times.
  return depth === 2 || depth === 3 ? known(value, depth) : sorted(value, depth);
}

function known(value: object, depth: number): string {
  const large = LARGE.get(value);
  if (large !== undefined) return large;
  const written = JSON.stringify(value);
  const text = KNOWN.get(written) ?? sorted(value, depth);
  if (KNOWN.size >= MOST_KNOWN) KNOWN.clear();
  KNOWN.set(written, text);
  if (written.length > LARGE_CHARACTERS) LARGE.set(value, text);
  return text;
}

function sorted(value: object, depth: number): string {
  const parts: string[] = [];
  for (const key of Object.keys(value).sort()) {
    const inner: unknown = Reflect.get(value, key);
    if (inner !== undefined) parts.push(`${JSON.stringify(key)}:${canonical(inner, depth + 1)}`);
  }
  return `{${parts.join(',')}}`;
}

/** Twenty hex digits (80 bits) of the SHA-256 of a value's content: names jobs, outputs and batches. */
export function contentKey(value: unknown): string {
  return createHash('sha256').update(canonical(value, 0)).digest('hex').slice(0, 20);
}
