import { InvalidArgumentError } from 'commander';
import { GoodgateError } from '../../jobs/errors.js';
import { LOG_LEVELS, type LogLevel } from '../logging.js';

/** Collects an option that may be given again. */
export function collect(value: string, earlier: string[]): string[] {
  return [...earlier, value];
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
