import { GoodgateError } from '../../jobs/errors.js';
import type { CardCheck, CheckedEntry, CheckedOutcome } from '../../jobs/hash-list/card-check.js';
import { checkedOutcome } from '../../jobs/hash-list/card-check.js';
import { bytes as bytesText } from '../../jobs/words/quantities.js';
import { checkDirectories } from './check-directories.js';
import {
  type CardHistory,
  type ExaminedCard,
  type ExaminedFile,
  type ExamineOptions,
  examineCard,
  isIgnored,
  joined,
  requireHistory,
} from './examine-card.js';
import { HISTORY_FOLDER } from './read-history.js';

/**
 * Holds every file of a card against all generations of its hash list (ASC MHL v2.0), its folders against the
 * directory hashes of the last one, and the lists against the chain.
 *
 * @throws GoodgateError `missing-file` where there is no list, `bad-document` where it cannot be read,
 * `interrupted`, `cannot-write`, `disk-full`
 */
export async function verifyCard(root: string, options: ExamineOptions = {}): Promise<CardCheck> {
  const card = await examineCard(root, options);
  await requireHistory(root, card.histories);
  const files = [...card.files.map(checkFile), ...card.missing.map(missingFile), ...oddEntries(card)];
  if (!files.some(({ outcome }) => outcome !== 'unlisted')) {
    throw new GoodgateError('bad-document', {
      what: 'the hash list names no file: nothing can be proven by it',
      where: root,
      next: 'copy the list once more from where the card was copied',
    });
  }
  const directories = await checkDirectories(card, files);
  const lists = card.histories.flatMap((history) => checkLists(history, card.histories));
  return {
    schema: 'goodgate/card-check@1',
    card: root,
    verdict: verdictOf([...files, ...directories, ...lists]),
    histories: card.histories.map(({ base, history }) => ({
      folder: base,
      generations: history.generations.map(({ name }) => name),
    })),
    files: files.sort((a, b) => (a.path < b.path ? -1 : 1)),
    directories,
    lists,
    totals: totalsOf(files),
  };
}

/** How a file stands to what all lists say of it. Pure. */
export function checkFile({ file, hashed, expected }: Omit<ExaminedFile, 'formats' | 'owner'>): CheckedEntry {
  const entry = (outcome: CheckedOutcome, why: string | null): CheckedEntry => ({
    ...{ path: file.path, outcome, why, bytes: file.bytes },
    hashes: 'hashes' in hashed ? Object.fromEntries(hashed.hashes) : {},
  });
  if ('reason' in hashed) return entry('unreadable', hashed.reason);
  if (expected === null) return entry('unlisted', 'the hash list does not name it');
  if (expected.hashes.size === 0)
    return entry('unproven', 'the hash list holds no hash of it that was accepted');
  const wrong = [...expected.hashes].find(([format, value]) => hashed.hashes.get(format) !== value);
  const size =
    expected.bytes === null || expected.bytes === file.bytes
      ? ''
      : `; it has ${bytesText(file.bytes)} (${file.bytes}) of ${bytesText(expected.bytes)} (${expected.bytes})`;
  // Bytes that have the listed hash have one size: the list itself is not what somebody wrote.
  if (wrong === undefined && size !== '')
    return entry('unproven', `the hash list contradicts itself: the hash is that of the file${size}`);
  if (wrong === undefined) return entry('verified', null);
  const [format, listed] = wrong;
  return entry(
    'changed',
    `its ${format} is ${hashed.hashes.get(format) ?? 'unknown'}, listed is ${listed}${size}`,
  );
}

function missingFile(path: string): CheckedEntry {
  return { path, outcome: 'missing', why: 'it is listed, and not there', bytes: null, hashes: {} };
}

function oddEntries({ tree, histories, missing }: ExaminedCard): CheckedEntry[] {
  const listed = new Set(missing);
  return tree.odd
    .filter(({ path }) => !isIgnored(path, histories))
    .filter(({ path }) => !listed.has(path))
    .map(({ path, why }) => ({ path, outcome: 'unreadable', why, bytes: null, hashes: {} }));
}

function checkLists({ base, history, demands }: CardHistory, all: readonly CardHistory[]): CheckedEntry[] {
  const fault = (path: string, why: string): CheckedEntry => ({
    ...{ path: joined(base, path), outcome: 'changed', why, bytes: null, hashes: {} },
  });
  const contradictions = [...demands.files].flatMap(([path, { contradiction }]) =>
    contradiction === null
      ? []
      : [fault(HISTORY_FOLDER, `its generations give ${path} two different ${contradiction}`)],
  );
  const references = (history.generations.at(-1)?.generation.references ?? []).flatMap(({ path, c4 }) => {
    const found = all.flatMap((other) =>
      other.history.generations.filter(
        ({ name }) => joined(other.base, `${HISTORY_FOLDER}/${name}`) === joined(base, path),
      ),
    );
    if (found.length === 0) return [fault(path, 'the list above names this one; it is missing')];
    return found.some((generation) => generation.c4 === c4)
      ? []
      : [fault(path, 'it is not the list the one above knows: its C4 is another')];
  });
  return [...history.faults.map(({ path, why }) => fault(path, why)), ...contradictions, ...references];
}

/** The worst of what was found. */
function verdictOf(entries: readonly CheckedEntry[]): CardCheck['verdict'] {
  const has = (...outcomes: CheckedOutcome[]): boolean =>
    entries.some(({ outcome }) => outcomes.includes(outcome));
  if (has('changed', 'missing')) return 'fail';
  if (has('unreadable', 'unproven')) return 'unmeasured';
  return has('unlisted') ? 'warn' : 'pass';
}

function totalsOf(files: readonly CheckedEntry[]): CardCheck['totals'] {
  const counts = checkedOutcome.options.map(
    (word) => [word, files.filter(({ outcome }) => outcome === word).length] as const,
  );
  const of = new Map(counts);
  return {
    files: files.length,
    bytes: files.reduce((sum, { bytes }) => sum + (bytes ?? 0), 0),
    verified: of.get('verified') ?? 0,
    changed: of.get('changed') ?? 0,
    missing: of.get('missing') ?? 0,
    unlisted: of.get('unlisted') ?? 0,
    unreadable: of.get('unreadable') ?? 0,
    unproven: of.get('unproven') ?? 0,
  };
}
