import { InvalidArgumentError, Option } from 'commander';
import { severity } from '../../jobs/plan/loss-severity.js';
import { type Priority, priority } from '../../jobs/plan/submission.js';
import { colourOption } from '../colour-option.js';
import { LOG_LEVELS, type LogLevel } from '../logging.js';
import { parseTimeOfDay } from '../plan/next-time.js';

/**
 * An option that may be given more than once.
 *
 * @param without what holds where it is not given, in words
 */
export function repeatable(flags: string, words: string, without: string): Option {
  return new Option(flags, `${words}; may be given more than once`)
    .argParser((value: string, earlier: string[]) => [...earlier, value])
    .default([], without);
}

/** Options that several commands share: one name, one letter, one meaning. */
export const targetsOption = (without: string): Option =>
  repeatable('-t, --target <name>', 'target, a name or a file', without);
export const targetFolderOption = (): Option =>
  new Option('--target-folder <folder>', 'folder with targets of your own, found by name');
export const batchesOption = (): Option =>
  new Option('--batches <folder>', 'folder in which batch folders are made, where --out names none');
export const outFolderOption = (): Option =>
  new Option('-o, --out <folder>', 'the batch folder (default: beside the manifest, named after it)');
export const replaceOption = (): Option =>
  new Option('--replace', 'give the folder to this plan alone; without it the plan joins what is there');
export const jobsOption = (): Option =>
  new Option('-j, --jobs <number>', 'clips worked on at once (default: what fits this machine)').argParser(
    wholeNumber,
  );
export const priorityOption = (): Option =>
  new Option('--priority <word>', 'whose clips are taken first; batches of one priority take turns')
    .choices(priority.options)
    .default('normal' satisfies Priority);
/** With its rule in NOTES_BY, which every command that takes it tells. */
export const byOption = (): Option =>
  new Option('--by <time>', 'say whether all is done by this local time, such as 07:00').argParser(
    parseTimeOfDay,
  );
export const NOTES_BY =
  '--by says what would be late, and has the clips that matter most begun first: those of which something is made to be looked at (a proxy), then the others, each in the order of the manifest. A time is the next such time; where clocks are put back and it comes twice, its first.';
export const refuseLossesOption = (): Option =>
  new Option(
    '--refuse-losses <severity>',
    'refuse outputs in the colour of the clip that lose so much: slight, marked or grave',
  ).choices(severity.options);
export const redisOption = (): Option =>
  new Option('--redis <url>', 'use this Redis server instead of the private one');
export const logLevelOption = (level: LogLevel): Option =>
  new Option('--log-level <level>', 'lowest level of log lines on stderr').choices(LOG_LEVELS).default(level);
export const colourOfFileOption = (): Option =>
  new Option(
    '--colour <colour>',
    'colour of a file whose tags do not state it, such as S-Log3/S-Gamut3.Cine or PQ',
  ).argParser((text) => colourOption('--colour', text));

/** How much every command tells; on the program itself as well, so that they may stand before its name. */
export function commonOptions(): Option[] {
  return [
    new Option('-q, --quiet', 'tell nothing on stderr but problems').conflicts('verbose'),
    new Option('-v, --verbose', 'tell every step on stderr as well'),
    new Option('--settings <file>', 'settings of this site, instead of the usual file'),
    new Option('--debug', 'print the stack of an error'),
  ].map((option) => option.helpGroup('Options of all commands:'));
}

export function wholeNumber(value: string): number {
  if (!/^[1-9]\d{0,5}$/.test(value)) throw new InvalidArgumentError('A whole number from 1 on is needed.');
  return Number(value);
}
