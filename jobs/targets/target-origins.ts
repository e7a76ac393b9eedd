import { isDeepStrictEqual } from 'node:util';
import { isRecord } from '../documents/is-record.js';
import type { LayeredTarget, TargetLayer } from './load-target.js';

/** Where a value of a merged target comes from. */
export interface Origin {
  /** The target that sets it; null for a default. */
  readonly from: string | null;
  /** The value it replaced, in the nearest extended target that sets another one. */
  readonly instead: { readonly value: unknown; readonly from: string } | null;
}

/**
 * Start of the source of a limit that a target changed without naming a document (see merge-target.ts).
 */
const CHANGED = 'set by target ';
/** Maps in `make` that are replaced as a whole. */
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
 * Keys that a target removed with `null` and that no target extending it set again.
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
 * `cut`: this layer replaced or removed the map that contains the value, so extended targets have no effect
 * on it.
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
