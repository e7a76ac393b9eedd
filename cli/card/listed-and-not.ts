import type { Manifest } from '../../jobs/manifest/manifest.js';
import type { Batch } from '../../jobs/plan/batch.js';
import { count, firstOf } from '../../jobs/words/numbers.js';
import type { MissingListed } from '../../workers/hash-list/missing-listed.js';

/** Clips that no list proves, on a card that has one. */
export function unlistedNote(clips: readonly string[]): string[] {
  if (clips.length === 0) return [];
  const words = clips.length === 1 ? 'clip is' : 'clips are';
  return [
    `${clips.length} ${words} not in the hash list of the card, which proves the others: ${firstOf(clips, 3)}`,
  ];
}

/** Names told in a note; `goodgate verify` tells all. */
const NAMES = 10;

/**
 * What came of files that a hash list names and that are not there: of a clip nothing can be made, which a
 * person has to look at; the others are told in a note. What the manifest names is told already. Pure.
 */
export function missingFromCard(
  missing: readonly MissingListed[],
  { clips, unreadable = [], leftOut = [] }: Pick<Manifest, 'clips' | 'unreadable' | 'leftOut'>,
): { clips: Batch['unreadable']; notes: string[] } {
  const told = new Set(
    [
      ...[...clips, ...unreadable, ...leftOut].map(({ file }) => file),
      ...clips.flatMap(({ parts = [] }) => parts),
    ].map((file) => file.normalize('NFC')),
  );
  const untold = missing.filter(({ file }) => !told.has(file.normalize('NFC')));
  const others = untold.flatMap(({ file, isClip }) => (isClip ? [] : [file]));
  return {
    clips: untold
      .filter(({ isClip }) => isClip)
      .map(({ file }) => ({
        file,
        reason: 'it is missing: the hash list of the card names it',
        next: 'Copy it from its card again; where it is meant to be gone, goodgate attest --ignore takes it off the list.',
      })),
    notes:
      others.length === 0
        ? []
        : [
            `${count(others.length, 'file')} in the hash list of the card, no clip by name, missing: ${firstOf(others, NAMES)}`,
          ],
  };
}
