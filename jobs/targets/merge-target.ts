import { isRecord } from '../documents/is-record.js';

/** How a target document inherits from the target it extends. */
type Map = Readonly<Record<string, unknown>>;

/**
 * `own` merged over `base`: maps merge key by key, `null` removes a key, everything else replaces. Maps whose
 * key is in `whole` (raster and colour in `make`) are replaced as a whole.
 */
function merge(base: Map, own: Map, whole: readonly string[]): Map {
  const merged: Record<string, unknown> = { ...base };
  for (const [key, value] of Object.entries(own)) {
    const before = Object.hasOwn(base, key) ? base[key] : undefined;
    if (value === null) delete merged[key];
    else
      merged[key] =
        isRecord(before) && isRecord(value) && !whole.includes(key) ? merge(before, value, []) : value;
  }
  return merged;
}

/** Keys of a requirement that are no limits. */
const NO_LIMIT: readonly string[] = ['severity', 'joinGaps'];

/** A changed limit no longer comes from the document that `base` names as its source. */
function mergeRequire(base: Map, own: Map, ownName: string): Map {
  const merged: Record<string, unknown> = { ...merge(base, own, []) };
  for (const [name, value] of Object.entries(own)) {
    if (!isRecord(value) || !isRecord(base[name]) || 'source' in value) continue;
    const changesLimit = Object.keys(value).some((key) => !NO_LIMIT.includes(key));
    const entry = merged[name];
    if (changesLimit && isRecord(entry)) merged[name] = { ...entry, source: `set by target ${ownName}` };
  }
  return merged;
}

/**
 * The whole target: `own` merged over `base`. Both are documents as read; the result must still be validated.
 */
export function mergeTargets(base: Map, own: Map): Map {
  const merged: Record<string, unknown> = { ...base, ...own };
  if (isRecord(base.make) && isRecord(own.make)) {
    merged.make = merge(base.make, own.make, ['raster', 'colour']);
  }
  if (isRecord(base.require) && isRecord(own.require)) {
    merged.require = mergeRequire(base.require, own.require, String(own.name));
  }
  // `make: null` and `require: null` remove that side.
  for (const side of ['make', 'require', 'about', 'standards']) if (own[side] === null) delete merged[side];
  return merged;
}
