/**
 * A clip in several parts is handed on as one path: that of its first file, and after `//` that of each other
 * one, which a plain path never contains. Parts beside the first have only their name.
 */
const BETWEEN = '//';

/**
 * @param first absolute
 * @param others absolute, in order; none: a plain path
 */
export function spanPath(first: string, others: readonly string[]): string {
  const folder = first.slice(0, first.lastIndexOf('/') + 1);
  const short = others.map((path) => {
    const name = path.slice(folder.length);
    return path.startsWith(folder) && !name.includes('/') ? name : path;
  });
  return [first, ...short].join(BETWEEN);
}

/** The absolute paths of its files, in order; null for a clip of one file. */
export function spanParts(path: string): readonly string[] | null {
  if (!path.includes(BETWEEN)) return null;
  const [first = '', ...others] = path.split(/\/\/(?=\/?[^/])/);
  const folder = first.slice(0, first.lastIndexOf('/') + 1);
  return [first, ...others.map((part) => (part.startsWith('/') ? part : folder + part))];
}
