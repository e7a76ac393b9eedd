import { dirname, resolve } from 'node:path';
import type { Command, Option } from 'commander';
import { z } from 'zod';
import { field } from '../jobs/documents/field.js';
import { loadDocument } from '../jobs/documents/load-document.js';
import { GoodgateError } from '../jobs/errors.js';
import type { Environment } from './environment.js';

const folder = z.string().min(1);
const some = z.number().int().min(1).max(999_999);

/**
 * What holds at a site for every command that has the option of this name. Options go before it, and so does
 * the environment.
 */
export const settings = z
  .strictObject({
    redis: field("The queue's server, `redis://host:6379`.", z.string().min(1).optional()),
    root: field('Folders a worker may read from and write to.', z.array(folder).min(1).optional()),
    between: field(
      'Hours in which a worker takes clips, local time, such as `20:00-07:00`.',
      z.string().optional(),
    ),
    concurrency: field('Clips a worker works on at once.', some.optional()),
    listen: field(
      'Where a worker serves its figures and its health, such as `127.0.0.1:9464`.',
      z.string().optional(),
    ),
    jobs: field('Clips `run` works on at once.', some.optional()),
    batches: field('Folder in which batch folders are made, where --out names none.', folder.optional()),
    'notify-command': field(
      'Program and arguments that get batch.json on stdin when a report is written.',
      z.array(z.string().min(1)).min(1).optional(),
    ),
    'notify-url': field(
      'Address that batch.json is sent to by POST when a report is written; it may hold a password.',
      z.string().min(1).optional(),
    ),
    'target-folder': field('Folder with targets of your own, found by name.', folder.optional()),
  })
  .describe('Settings of a site; each key is the name of an option.');
export type Settings = z.infer<typeof settings>;

/** Keys that name folders: relative ones start from the folder of the settings file. */
const FOLDERS: readonly string[] = ['root', 'batches', 'target-folder'];

/** Settings that were found, and where. */
export interface FoundSettings {
  readonly file: string;
  readonly values: Settings;
}

/**
 * The settings of this site: the file that was named, by option or environment, or the user's own where it is
 * there. None is looked for in the current folder: that may be a card, and a card must not choose the queue
 * or the roots.
 *
 * @throws GoodgateError `missing-file` for a file that was named, `bad-document`.
 */
export async function findSettings(
  named: string | undefined,
  environment: Pick<Environment, 'settings'>,
): Promise<FoundSettings | null> {
  const { file, isNamed } =
    named === undefined ? environment.settings : { file: resolve(named), isNamed: true };
  try {
    return { file, values: await loadDocument(file, settings) };
  } catch (error) {
    if (!isNamed && error instanceof GoodgateError && error.code === 'missing-file') return null;
    throw error;
  }
}

/**
 * Gives a command the settings for options that neither the command line nor the environment set.
 *
 * @returns names of the options that were set
 * @throws GoodgateError `bad-option` for a value the option does not take
 */
export function applySettings(
  command: Command,
  { file, values }: FoundSettings,
  environment: Pick<Environment, 'redisUrl'>,
): string[] {
  const used: string[] = [];
  for (const [key, value] of Object.entries(values)) {
    const option = command.options.find(({ long }) => long === `--${key}`);
    if (option === undefined || value === undefined) continue;
    const source = command.getOptionValueSource(option.attributeName());
    if (source !== undefined && source !== 'default') continue;
    if (key === 'redis' && environment.redisUrl !== null) continue;
    const based = FOLDERS.includes(key)
      ? [value].flat().map((each) => resolve(dirname(file), String(each)))
      : value;
    command.setOptionValueWithSource(option.attributeName(), read(option, based, file), 'config');
    used.push(key);
  }
  return used;
}

/** As the option reads what is written on a command line. */
function read(option: Option, value: unknown, file: string): unknown {
  const parse = option.parseArg;
  const words = [value].flat().map(String);
  if (parse === undefined) return words[0];
  try {
    return words.reduce<unknown>((earlier, word) => parse(word, earlier), option.defaultValue);
  } catch (error) {
    throw new GoodgateError('bad-option', {
      what: `${option.long?.slice(2)}: given ${words.join(', ')}: ${error instanceof Error ? error.message : String(error)}`,
      where: file,
      next: 'correct the settings; the option of this name takes the same',
      cause: error,
    });
  }
}
