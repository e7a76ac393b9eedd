import { InvalidArgumentError, Option } from 'commander';
import { GoodgateError } from '../../jobs/errors.js';
import { LOG_LEVELS, type LogLevel } from '../logging.js';

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

export function wholeNumber(value: string): number {
  if (!/^[1-9]\d{0,5}$/.test(value)) throw new InvalidArgumentError('A whole number from 1 on is needed.');
  return Number(value);
}

export function chosenLevel(value: string | undefined): LogLevel {
  const level = LOG_LEVELS.find((known) => known === value);
  if (level === undefined) {
    throw new GoodgateError('bad-option', {
      what: `--log-level ${value ?? ''} is not a level`,
      next: `use one of ${LOG_LEVELS.join(', ')}`,
    });
  }
  return level;
}
