import { createHash } from 'node:crypto';

/** JSON with keys sorted at every level: equal values give equal text whatever order they were built in. */
function canonical(value: unknown): string {
  return JSON.stringify(value, (_key, inner: unknown) =>
    inner !== null && typeof inner === 'object' && !Array.isArray(inner)
      ? Object.fromEntries(Object.entries(inner).sort(([a], [b]) => (a < b ? -1 : a > b ? 1 : 0)))
      : inner,
  );
}

/** Twenty hex digits (80 bits) of the SHA-256 of a value's content: names jobs, outputs and batches. */
export function contentKey(value: unknown): string {
  return createHash('sha256').update(canonical(value)).digest('hex').slice(0, 20);
}
