import { z } from 'zod';
import { field } from '../documents/field.js';
import { priority } from './submission.js';

const watchedFolder = z.strictObject({
  folder: field('Folder in which files arrive; a relative one starts from this file.', z.string().min(1)),
  targets: field(
    'What is made of its files, or what they are judged by: names or files.',
    z.array(z.string().min(1)).min(1).max(100),
  ),
  batches: field(
    'Folder in which its batch folder is made. Without it: that of --batches, else beside the folder.',
    z.string().min(1).optional(),
  ),
  priority: field('Whose clips are taken first. Without it: that of --priority.', priority.optional()),
  steady: field(
    'Seconds for which size and time of a file must stay the same. Without it: those of --steady.',
    z.number().int().min(1).max(999_999).optional(),
  ),
  listed: field(
    'Whether only files are taken that a hash list covers. Without it: as --listed says.',
    z.boolean().optional(),
  ),
});

/** Folders that `watch` looks after, each with its own targets. */
export const watchList = z
  .strictObject({
    schema: field('Form of this document.', z.literal('goodgate/watch-list@1')),
    folders: field('Folders, each of which becomes one batch.', z.array(watchedFolder).min(1).max(100)),
  })
  .describe('Folders that goodgate watch looks after, each with targets of its own.');
export type WatchList = z.infer<typeof watchList>;
