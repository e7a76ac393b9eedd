import { stat } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { GoodgateError } from '../../jobs/errors.js';
import { historyAbove } from '../../workers/hash-list/examine-card.js';
import { readWhole } from '../../workers/hash-list/listed-clips.js';
import { belowRoot, historiesBelow, missingListed } from '../../workers/hash-list/missing-listed.js';
import { liesUnder } from '../../workers/roots.js';
import type { SeenFile } from './steady-files.js';
import { submittedAsIs } from './watched-files.js';

/** A folder of which nothing new is submitted yet. */
export interface HeldCard {
  /** Absolute. */
  readonly folder: string;
  /** Files that its hash list names and that have not arrived, below it or below the watched folder. */
  readonly awaited: readonly string[];
  /** Why its list says nothing yet; null where it was read. */
  readonly unread: string | null;
}

/**
 * Cards in and around a watched folder whose own hash list says that they are not whole yet: a file it names
 * is not there, has another size, or is still being written; or the list itself cannot be read, which may be
 * on its way too.
 *
 * @param folder absolute
 * @param now files that may be clips
 * @param steady those of them that have arrived
 */
export async function heldCards(
  folder: string,
  now: readonly SeenFile[],
  steady: readonly SeenFile[],
): Promise<HeldCard[]> {
  const arrived = new Set(steady.map(({ path }) => path));
  const growing = new Set(now.map(({ path }) => path).filter((path) => !arrived.has(path)));
  const above = await historyAbove(dirname(folder));
  const below = await historiesBelow(folder);
  const held: HeldCard[] = [];
  for (const card of outermost([...(above === null ? [] : [above]), ...below])) {
    const found = await awaitedOf(card, folder, growing);
    if (found.unread !== null || found.awaited.length > 0) held.push(found);
  }
  return held;
}

/** Without those that lie in another: the list of that one names theirs. */
function outermost(cards: readonly string[]): string[] {
  return cards.filter((card) => !cards.some((other) => other !== card && liesUnder(card, other)));
}

async function awaitedOf(card: string, watched: string, growing: ReadonlySet<string>): Promise<HeldCard> {
  // Of a card that reaches further only what lies here can arrive here.
  const folder = liesUnder(watched, card) ? watched : card;
  try {
    const demands = await readWhole(card);
    const missing = await missingListed(folder, new Map([[card, demands]]), true);
    const awaited = new Set(missing.map(({ file }) => file));
    for (const [listed, { bytes }] of demands.files) {
      const path = join(card, listed);
      const file = belowRoot(folder, path);
      if (file === null) continue;
      const size = (await stat(path).catch(() => null))?.size;
      const isShort = bytes !== null && size !== undefined && size !== bytes;
      if (isShort || growing.has(path)) awaited.add(file);
    }
    return { folder, awaited: [...awaited], unread: null };
  } catch (error) {
    if (!(error instanceof GoodgateError) || error.code !== 'bad-document') throw error;
    return { folder, awaited: [], unread: error.what };
  }
}

/**
 * Files that have arrived, without those of cards that have not. What was submitted already, as it is, stays:
 * no batch loses a clip because its card grows.
 *
 * @param onlyListed leave out what no hash list covers
 */
export async function ofWholeCards(
  steady: readonly SeenFile[],
  held: readonly HeldCard[],
  submitted: readonly SeenFile[],
  onlyListed: boolean,
): Promise<SeenFile[]> {
  const isKnown = submittedAsIs(submitted);
  const listed = new Map<string, boolean>();
  const isListed = async (folder: string): Promise<boolean> => {
    const known = listed.get(folder) ?? (await historyAbove(folder)) !== null;
    listed.set(folder, known);
    return known;
  };
  const whole: SeenFile[] = [];
  for (const file of steady) {
    const waits = held.some(({ folder }) => liesUnder(file.path, folder));
    if (isKnown(file) || (!waits && (!onlyListed || (await isListed(dirname(file.path)))))) whole.push(file);
  }
  return whole;
}
