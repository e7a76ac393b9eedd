import { isDeepStrictEqual } from 'node:util';
import { isRecord } from '../documents/is-record.js';
import type { LayeredTarget, TargetLayer } from './load-target.js';

/** Where a value of a merged target comes from. */
export interface Origin {
  /** The target that says it; null for a default that none of them states. */
  readonly from: string | null;
  /** What stood there before, in the nearest target below that says otherwise. */
  readonly instead: { readonly value: unknown; readonly from: string } | null;
}

/**
 * What the source of a limit reads after a target changed the limit and named no document (see
 * merge-target.ts).
 */
const CHANGED = 'set by target ';
/** Parts of `make` that are replaced as one, although they are written as maps. */
const WHOLE: readonly string[] = ['raster', 'colour'];

type Found = { readonly kind: 'value'; readonly value: unknown } | { readonly kind: 'absent' | 'cut' };

/** The origin of the value at a path of the merged target, such as `['require', 'loudness', 'target']`. */
export function originOf({ target, layers }: LayeredTarget, path: readonly string[]): Origin {
  const merged = valueAt(target, path);
  if (path.at(-1) === 'source' && typeof merged === 'string' && merged.startsWith(CHANGED)) {
    return { from: merged.slice(CHANGED.length), instead: null };
  }
  let from: string | null = null;
  for (const layer of layers) {
    const found = lookUp(layer, path);
    if (found.kind === 'cut') break;
    if (found.kind !== 'value') continue;
    if (from === null) from = layer.name;
    else if (!isDeepStrictEqual(found.value, merged)) {
      return { from, instead: { value: found.value, from: layer.name } };
    }
  }
  return { from, instead: null };
}

export interface Removal {
  /** Such as `['require', 'colour-layers']`. */
  readonly path: readonly string[];
  readonly by: string;
}

/**
 * Parts that a target took away from what it extends, by `null`, and that no target above it brought back.
 */
export function removalsOf({ target, layers }: LayeredTarget): Removal[] {
  const removals = new Map<string, Removal>();
  for (const { name, data } of layers.slice(0, -1)) {
    for (const path of nullsIn(data, [])) {
      const known = path.join('.');
      if (valueAt(target, path) === undefined && !removals.has(known))
        removals.set(known, { path, by: name });
    }
  }
  return [...removals.values()];
}

function nullsIn(value: unknown, path: readonly string[]): (readonly string[])[] {
  if (value === null) return [path];
  return isRecord(value) ? Object.entries(value).flatMap(([key, part]) => nullsIn(part, [...path, key])) : [];
}

/**
 * `cut`: nothing further down the chain reaches the value, because this layer replaced or removed what it is
 * part of.
 */
function lookUp({ data }: TargetLayer, path: readonly string[]): Found {
  let at: unknown = data;
  for (const [depth, key] of path.entries()) {
    if (!isRecord(at)) return { kind: 'cut' };
    if (!Object.hasOwn(at, key)) {
      const inWhole = depth === 2 && path[0] === 'make' && WHOLE.includes(path[1] ?? '');
      return { kind: inWhole ? 'cut' : 'absent' };
    }
    at = at[key];
  }
  return at === null ? { kind: 'cut' } : { kind: 'value', value: at };
}

function valueAt(data: unknown, path: readonly string[]): unknown {
  return path.reduce<unknown>(
    (at, key) => (isRecord(at) && Object.hasOwn(at, key) ? at[key] : undefined),
    data,
  );
}
