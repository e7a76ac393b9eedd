import type { CardCheck, CheckedEntry, CheckedOutcome } from '../../jobs/hash-list/card-check.js';
import { count, grouped } from '../../jobs/words/numbers.js';
import { visible } from '../../jobs/words/plain-text.js';
import { bytes } from '../../jobs/words/quantities.js';

/** What came of holding a card against its list: what is wrong by name, the worst first, then the sum. */
export function cardCheckText({
  card,
  verdict,
  histories,
  files,
  directories,
  lists,
  totals,
}: CardCheck): string {
  const order: readonly CheckedOutcome[] = ['changed', 'missing', 'unreadable', 'unproven', 'unlisted'];
  const entries = [...lists, ...files, ...directories];
  const told = order.flatMap((outcome) => entries.filter((entry) => entry.outcome === outcome));
  const generations = histories.reduce((sum, history) => sum + history.generations.length, 0);
  const sums = order.flatMap((outcome) =>
    totals[wordOf(outcome)] > 0 ? [`${grouped(totals[wordOf(outcome)])} ${outcome}`] : [],
  );
  const listed = lists.length === 0 ? [] : [count(lists.length, 'fault of the list', 'faults of the list')];
  return [
    ...told.map(entryText),
    ...(told.length === 0 ? [] : ['']),
    `${verdict}: ${visible(card)}`,
    `${count(totals.files, 'file')}, ${bytes(totals.bytes)}, against ${count(generations, 'generation')}: ` +
      [`${grouped(totals.verified)} verified`, ...sums, ...listed].join(', '),
  ].join('\n');
}

function wordOf(outcome: CheckedOutcome): keyof CardCheck['totals'] {
  return outcome;
}

function entryText({ path, outcome, why }: CheckedEntry): string {
  return `${outcome.padEnd(10)} ${visible(path)}${why === null ? '' : `: ${visible(why)}`}`;
}
