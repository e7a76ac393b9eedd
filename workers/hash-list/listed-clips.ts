import { dirname, relative, sep } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';
import type { HashFormat, ListedHash } from '../../jobs/hash-list/hash-format.js';
import { historyAbove } from './examine-card.js';
import { type Demands, demandsOf } from './expected-files.js';
import { readHistory } from './read-history.js';

/** The cheapest to compute first: one proves the file as well as another. */
const CHEAPEST: readonly HashFormat[] = ['xxh3', 'xxh128', 'xxh64', 'xxh32', 'sha1', 'md5', 'c4'];

/** What the hash list of its card says of each clip. */
export interface ListedClips {
  /** By path of the clip. */
  readonly hashes: ReadonlyMap<string, ListedHash>;
  /** Clips on a card with a list that does not name them. */
  readonly unlisted: readonly string[];
  /** The lists that were read, by the folder each covers. */
  readonly lists: ReadonlyMap<string, Demands>;
}

/**
 * Looks each clip up in the nearest hash list above it. Reads lists, no clip.
 *
 * @param paths absolute
 * @throws GoodgateError `bad-document` where a list cannot be read, or is not the one its chain knows
 */
export async function listedClips(paths: readonly string[]): Promise<ListedClips> {
  const folders = new Map<string, string | null>();
  const lists = new Map<string, Demands>();
  const byName = new Map<string, Demands['files']>();
  const hashes = new Map<string, ListedHash>();
  const unlisted: string[] = [];
  for (const path of paths) {
    const folder = dirname(path);
    const card = folders.has(folder) ? folders.get(folder) : await historyAbove(folder);
    folders.set(folder, card ?? null);
    if (card === null || card === undefined) continue;
    const demands = lists.get(card) ?? (await readWhole(card));
    lists.set(card, demands);
    const named = byName.get(card) ?? filesByName(demands);
    byName.set(card, named);
    const listed = hashOf(named, relative(card, path).split(sep).join('/'));
    if (listed === null) unlisted.push(path);
    else hashes.set(path, listed);
  }
  return { hashes, unlisted, lists };
}

/**
 * What the list of a folder demands.
 *
 * @throws GoodgateError `bad-document`
 */
export async function readWhole(card: string): Promise<Demands> {
  const history = await readHistory(card);
  const fault = history.faults[0];
  if (fault === undefined) return demandsOf(history);
  throw new GoodgateError('bad-document', {
    what: `the hash list of the card is not whole: ${fault.path}: ${fault.why}`,
    where: card,
    next: 'goodgate verify tells all that is wrong; copy the list once more from where the card was copied',
  });
}

/** By the names as they are listed, and in one way of writing accents (Unicode NFC). */
function filesByName({ files }: Demands): Demands['files'] {
  const named = new Map([...files].reverse().map(([path, file]) => [path.normalize('NFC'), file]));
  for (const [path, file] of files) named.set(path, file);
  return named;
}

function hashOf(named: Demands['files'], path: string): ListedHash | null {
  const found = named.get(path) ?? named.get(path.normalize('NFC'));
  for (const format of CHEAPEST) {
    const value = found?.hashes.get(format);
    if (value !== undefined) return { format, value };
  }
  return null;
}
