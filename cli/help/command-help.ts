import type { Command } from 'commander';
import { wrap } from '../../jobs/words/plain-text.js';

/** As wide as a terminal that nobody widened. */
export const HELP_WIDTH = 80;

/** What a command's help says besides its arguments and options: what can be copied, and how it ends. */
export interface CommandHelp {
  /** What somebody should know before the first use. */
  readonly notes?: readonly string[];
  /** A command line, and what it does. */
  readonly examples: readonly (readonly [line: string, what: string])[];
  readonly exits: ExitCodes;
}

/** What each exit code means; 2 and 3 are the same for most commands. */
export interface ExitCodes {
  readonly 0: string;
  readonly 1?: string;
  readonly 2?: string;
  readonly 3?: string;
  /** Whether it is long enough to be interrupted. */
  readonly 130?: true;
}

/** Exit codes in words, in their order. */
export function exitCodes(exits: ExitCodes): [code: number, meaning: string][] {
  return [
    [0, exits[0]],
    ...(exits[1] === undefined ? [] : [[1, exits[1]] as [number, string]]),
    [2, exits[2] ?? 'the request is wrong: an option, a document, a file'],
    [3, exits[3] ?? 'the work could not be done'],
    ...(exits[130] === undefined ? [] : [[130, 'interrupted'] as [number, string]]),
  ];
}

const helpTexts = new WeakMap<Command, CommandHelp>();

/** Puts notes, examples and exit codes below a command's help, and keeps them for the manual page. */
export function addHelp(command: Command, help: CommandHelp): void {
  helpTexts.set(command, help);
  command.addHelpText('after', () => `\n${helpText(help)}`);
}

export function helpOf(command: Command): CommandHelp | undefined {
  return helpTexts.get(command);
}

function helpText({ notes = [], examples, exits }: CommandHelp): string {
  return [
    ...notes.flatMap((note) => [...wrap(note, HELP_WIDTH), '']),
    'Examples:',
    ...examples.flatMap(([line, what]) => [`  ${line}`, ...indented(what, 6)]),
    '',
    'Exit codes:',
    ...exitCodes(exits).flatMap(([code, meaning]) => {
      const [first = '', ...rest] = indented(meaning, 6);
      return [`  ${String(code).padEnd(4)}${first.trimStart()}`, ...rest];
    }),
  ].join('\n');
}

function indented(text: string, by: number): string[] {
  return wrap(text, HELP_WIDTH - by).map((line) => ' '.repeat(by) + line);
}
