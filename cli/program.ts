import { existsSync } from 'node:fs';
import { Command } from 'commander';
import { nearestWord } from '../jobs/documents/document-problems.js';
import { GoodgateError } from '../jobs/errors.js';
import { withoutSecrets } from '../jobs/words/without-secrets.js';
import { commonOptions } from './commands/options.js';
import { readEnvironment } from './environment.js';
import { addHelp, type CommandHelp, HELP_WIDTH } from './help/command-help.js';
import { speakAs } from './print.js';
import { goodgateVersion } from './version.js';

const EXAMPLES: CommandHelp = {
  notes: ['goodgate COMMAND --help tells the options, examples and exit codes of a command.'],
  examples: [
    [
      'goodgate run /volumes/A001 --target proxy-h264',
      'make, measure and judge proxies of a card, and report',
    ],
    ['goodgate check master.mov --target uhd-pq-master', 'prove a finished master'],
  ],
  exits: {
    0: 'all pass',
    1: 'a verdict is fail',
    3: 'the work could not be done, or a requirement could not be measured',
    130: true,
  },
};

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
  watch: () => import('./commands/watch.js'),
  status: () => import('./commands/status.js'),
  cancel: () => import('./commands/steer/cancel.js'),
  retry: () => import('./commands/steer/retry.js'),
  pause: () => import('./commands/steer/pause.js'),
  resume: () => import('./commands/steer/resume.js'),
  report: () => import('./commands/report.js'),
  measure: () => import('./commands/measure.js'),
  check: () => import('./commands/check.js'),
  compare: () => import('./commands/compare.js'),
  waive: () => import('./commands/waive.js'),
  verify: () => import('./commands/verify.js'),
  attest: () => import('./commands/attest.js'),
  levels: () => import('./commands/levels.js'),
  capacity: () => import('./commands/capacity.js'),
  lut: () => import('./commands/lut.js'),
  pattern: () => import('./commands/pattern.js'),
  targets: () => import('./commands/targets.js'),
  doctor: () => import('./commands/doctor.js'),
  completion: () => import('./commands/completion.js'),
  man: () => import('./commands/man.js'),
} satisfies Record<string, () => Promise<CommandModule>>;

interface CommandModule {
  readonly help: CommandHelp;
  register(program: Command): void;
}

/** They tell of all the others. */
const OF_ALL: readonly string[] = ['completion', 'man'];

function isCommand(word: string | undefined): word is keyof typeof COMMANDS {
  return word !== undefined && Object.hasOwn(COMMANDS, word);
}

/**
 * The command a line begins with, or all: for their help, and for a word that is none of them. The version
 * needs none.
 */
function commandsFor(words: readonly string[]): (keyof typeof COMMANDS)[] {
  const named = commandWord(words);
  if (named === undefined && words[0] === '--version') return [];
  const isAlone = isCommand(named) && !OF_ALL.includes(named);
  return isAlone ? [named] : Object.keys(COMMANDS).filter(isCommand);
}

function commandWord(words: readonly string[]): string | undefined {
  return wordsOnly(words)[0];
}

/** Without options, and the value of the one that may stand before a command. */
function wordsOnly(words: readonly string[]): string[] {
  return words.filter((word, index) => !word.startsWith('-') && words[index - 1] !== '--settings');
}

/** A word that is no command is a wrong request, also where help of it is asked for. */
function requireCommand(words: readonly string[]): void {
  const [named, asked] = wordsOnly(words);
  const word = named === 'help' ? asked : named;
  if (word === undefined || word === 'help' || isCommand(word)) return;
  const nearest = nearestWord(word, Object.keys(COMMANDS));
  throw new GoodgateError('bad-option', {
    what: `there is no command ${JSON.stringify(word)}${nearest === null ? '' : `; the nearest is ${nearest}`}`,
    next: 'goodgate --help lists the commands',
  });
}

/**
 * The command line as data: nothing runs until it is parsed.
 *
 * @param words what will be parsed, without program and script
 * @throws GoodgateError `bad-option` for a command that is none
 */
export async function buildProgram(words: readonly string[]): Promise<Command> {
  requireCommand(words);
  const program = new Command('goodgate')
    .description(
      'Plan, make, measure and judge: overnight intermediates and proxies, and delivery checks of masters.',
    )
    .version(goodgateVersion())
    .showHelpAfterError('(goodgate --help lists the commands)')
    .configureOutput({
      writeErr: (text) => process.stderr.write(withoutSecrets(text)),
      getOutHelpWidth: helpWidth,
      getErrHelpWidth: helpWidth,
    })
    .exitOverride();
  for (const option of commonOptions()) program.addOption(option);
  addHelp(program, EXAMPLES);
  program.hook('preAction', async (_, command) => {
    const { quiet, verbose, settings } = command.optsWithGlobals<CommonOptions>();
    speakAs(quiet ? 'quiet' : verbose ? 'verbose' : 'usual');
    // A level that was asked for by its own option counts before these.
    if (command.getOptionValueSource('logLevel') === 'default') {
      const usual: unknown = command.getOptionValue('logLevel');
      const level = verbose ? 'debug' : quiet && usual === 'info' ? 'warn' : usual;
      command.setOptionValueWithSource('logLevel', level, 'implied');
    }
    await useSettings(command, settings);
  });
  for (const name of commandsFor(words)) {
    const { register, help }: CommandModule = await COMMANDS[name]();
    register(program);
    const command = program.commands.find((each) => each.name() === name);
    if (command !== undefined) finish(command, help);
  }
  return program;
}

interface CommonOptions {
  readonly quiet?: boolean;
  readonly verbose?: boolean;
  readonly settings?: string;
}

/** Most sites have no settings: what reads them is loaded only where there are some. */
async function useSettings(command: Command, named: string | undefined): Promise<void> {
  const environment = readEnvironment();
  const { file, isNamed } = environment.settings;
  if (named === undefined && !isNamed && !existsSync(file)) return;
  const { applySettings, findSettings } = await import('./settings.js');
  const found = await findSettings(named, environment);
  if (found !== null) applySettings(command, found, environment);
}

/** What all commands have, said once. */
function finish(command: Command, help: CommandHelp): void {
  for (const option of commonOptions()) command.addOption(option);
  addHelp(command, help);
  command.exitOverride().showHelpAfterError(`(goodgate ${command.name()} --help tells its options)`);
}

function helpWidth(): number {
  return HELP_WIDTH;
}
