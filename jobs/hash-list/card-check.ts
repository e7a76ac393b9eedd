import { z } from 'zod';
import { field } from '../documents/field.js';

/** How one file, folder or generation stands to the hash list. */
export const checkedOutcome = z.enum([
  'verified',
  'changed',
  'missing',
  'unlisted',
  'unreadable',
  'unproven',
]);
export type CheckedOutcome = z.infer<typeof checkedOutcome>;

const count = z.number().int().nonnegative();

export const checkedEntry = z.object({
  path: field('Path below the card, `/` between its parts; of a folder with `/` at its end.', z.string()),
  outcome: field(
    '`verified`: as listed. `changed`: other bytes than listed. `missing`: listed, not there. `unlisted`: there, not ' +
      'listed. `unreadable`: it could not be read. `unproven`: the list holds no hash of it that was accepted.',
    checkedOutcome,
  ),
  why: field('What was found, in a sentence; null where it is as listed.', z.string().nullable()),
  bytes: field('Size in bytes; null where it is not there.', z.number().nullable()),
  hashes: field('Hashes as they were computed, by format.', z.record(z.string(), z.string())),
});
export type CheckedEntry = z.infer<typeof checkedEntry>;

/** A card held against its hash list. */
export const cardCheck = z.object({
  schema: z.literal('goodgate/card-check@1'),
  card: field('Absolute path of the card.', z.string()),
  verdict: field(
    '`pass`: every listed file is as listed. `warn`: as well, but there are unlisted files. `fail`: something changed ' +
      'or is missing. `unmeasured`: nothing is known to have changed, but something could not be read or proven.',
    z.enum(['pass', 'warn', 'fail', 'unmeasured']),
  ),
  histories: field(
    'The hash lists: of the card, and of folders in it that have their own.',
    z.array(
      z.object({
        folder: field('Folder below the card; empty: the card itself.', z.string()),
        generations: field('File names, oldest first.', z.array(z.string())),
      }),
    ),
  ),
  files: z.array(checkedEntry),
  directories: field(
    "Folders whose hashes the last generation holds. One that differs only by its files' faults is left out.",
    z.array(checkedEntry),
  ),
  lists: field('Faults of the lists themselves, against the chain.', z.array(checkedEntry)),
  totals: z.object({
    files: count,
    bytes: count,
    ...{
      verified: count,
      changed: count,
      missing: count,
      unlisted: count,
      unreadable: count,
      unproven: count,
    },
  }),
});
export type CardCheck = z.infer<typeof cardCheck>;
