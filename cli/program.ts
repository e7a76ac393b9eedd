import { Command } from 'commander';
import { goodgateVersion } from './version.js';

const EXIT_CODES = `
Exit codes: 0 all pass, 1 a verdict is fail, 2 the request is wrong, 3 the work
could not be done or a requirement could not be measured, 130 interrupted.`;

/**
 * In the order of the help. Each brings what it works with, which takes as long to load as a short command
 * takes to do.
 */
const COMMANDS = {
  scan: () => import('./commands/scan.js'),
  plan: () => import('./commands/plan.js'),
  run: () => import('./commands/run.js'),
  submit: () => import('./commands/submit.js'),
  work: () => import('./commands/work.js'),
  status: () => import('./commands/status.js'),
  measure: () => import('./commands/measure.js'),
  check: () => import('./commands/check.js'),
  waive: () => import('./commands/waive.js'),
  levels: () => import('./commands/levels.js'),
  lut: () => import('./commands/lut.js'),
  pattern: () => import('./commands/pattern.js'),
  targets: () => import('./commands/targets.js'),
  doctor: () => import('./commands/doctor.js'),
};

function isCommand(word: string | undefined): word is keyof typeof COMMANDS {
  return word !== undefined && Object.hasOwn(COMMANDS, word);
}

/** The command a line begins with, or all: for their help, and for a word that is none of them. */
function commandsFor(words: readonly string[]): (keyof typeof COMMANDS)[] {
  const named = words.find((word) => !word.startsWith('-'));
  return isCommand(named) ? [named] : Object.keys(COMMANDS).filter(isCommand);
}

/**
 * The command line as data: nothing runs until it is parsed.
 *
 * @param words what will be parsed, without program and script
 */
export async function buildProgram(words: readonly string[]): Promise<Command> {
  const program = new Command('goodgate')
    .description(
      'Plan, make, measure and judge: overnight intermediates and proxies, and delivery checks of masters.',
    )
    .version(goodgateVersion())
    .option('--debug', 'print the stack of an error')
    .addHelpText('after', EXIT_CODES)
    .showHelpAfterError('(goodgate --help lists the commands)')
    .configureOutput({ writeErr: (text) => process.stderr.write(text) })
    .exitOverride();
  for (const name of commandsFor(words)) (await COMMANDS[name]()).register(program);
  for (const command of program.commands) command.exitOverride();
  return program;
}
