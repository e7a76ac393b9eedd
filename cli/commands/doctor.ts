import type { Command } from 'commander';
import { visible, wrap } from '../../jobs/words/plain-text.js';
import { withoutSecrets } from '../../jobs/words/without-secrets.js';
import type { Check } from '../../workers/doctor/check.js';
import { examine } from '../../workers/doctor/doctor.js';
import { shownAddress } from '../../workers/notice/notify-webhook.js';
import { type Environment, readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { print, printJson } from '../print.js';
import { findSettings } from '../settings.js';
import { redisOption } from './options.js';

const WIDTH = 80;
const LABEL = { yes: 'OK', limited: 'LIMITED', no: 'MISSING' } as const;
const LABEL_WIDTH = 9;
const NAME_WIDTH = 24;

function rows(check: Check): string[] {
  const indent = LABEL_WIDTH + NAME_WIDTH;
  const head = `${LABEL[check.ok].padEnd(LABEL_WIDTH)}${check.name.padEnd(NAME_WIDTH)}`;
  const texts = [check.found, ...(check.ok === 'yes' || check.fix === null ? [] : [`fix: ${check.fix}`])];
  return texts
    .flatMap((text) => text.split('\n').flatMap((part) => wrap(visible(part), WIDTH - indent)))
    .map((line, index) => `${index === 0 ? head : ' '.repeat(indent)}${line}`);
}

export const help: CommandHelp = {
  examples: [
    ['goodgate doctor', 'what this machine has and lacks'],
    ['goodgate doctor --out /work', 'and whether this disk will do'],
  ],
  exits: { 0: 'goodgate can work here', 3: 'something it needs is missing' },
};

interface Options {
  redis?: string;
  out?: string;
  json?: boolean;
}

/** Which settings hold here, each with where it comes from. */
async function settingsCheck(command: Command, environment: Environment): Promise<Check[]> {
  const { settings: named } = command.optsWithGlobals<{ settings?: string }>();
  const found = await findSettings(named, environment);
  const lines = [
    found === null ? `none: there is no ${environment.settings.file}` : found.file,
    ...Object.entries(found?.values ?? {}).map(([key, value]) => `${key}: ${shownValue(key, value)}`),
    ...(environment.redisUrl === null ? [] : ['redis: from REDIS_URL, which goes before the file']),
  ];
  return [{ name: 'settings', ok: 'yes', found: lines.join('\n'), fix: null }];
}

/** No password of an address; of one that people are told at, its path may be one as well. */
function shownValue(key: string, value: unknown): string {
  const text = withoutSecrets([value].flat().join(', '));
  if (key !== 'notify-url') return text;
  return URL.canParse(String(value)) ? shownAddress(new URL(String(value))) : 'set';
}

export function register(program: Command): void {
  program
    .command('doctor')
    .description('check what this machine can and cannot do, and how to fix it')
    .addOption(redisOption())
    .option('-o, --out <folder>', 'check the disk of this folder as well')
    .option('--json', 'print one document')
    .action(async (options: Options, command: Command) => {
      const environment = readEnvironment();
      const settings = await settingsCheck(command, environment);
      const others = await examine({
        redisUrl: options.redis ?? environment.redisUrl,
        stateFolder: environment.stateFolder,
        outFolder: options.out,
        tools: environment.tools,
      });
      const checks = [...settings, ...others];
      if (options.json) printJson(checks);
      else print(checks.flatMap(rows).join('\n'));
      if (checks.some((check) => check.ok === 'no')) process.exitCode = 3;
    });
}
