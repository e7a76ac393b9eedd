import { resolve } from 'node:path';
import type { Command } from 'commander';
import type { CardCheck } from '../../jobs/hash-list/card-check.js';
import { openJournal } from '../../workers/hash-list/journal.js';
import { verifyCard } from '../../workers/hash-list/verify-card.js';
import { cardCheckText } from '../card/card-check-text.js';
import { readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { interruptSignal } from '../interrupt.js';
import { print, printJson } from '../print.js';
import { hashProgress } from '../progress/hash-progress.js';

interface Options {
  anew?: boolean;
  strict?: boolean;
  json?: boolean;
}

export const help: CommandHelp = {
  notes: [
    'The hash list is that of ASC MHL v2.0, in the folder ascmhl of the card: all generations, directory hashes and the chain file are held against the files. Nothing is written to the card. One that was stopped goes on where it was: files it hashed in the last 24 hours are not read again.',
    'A computer may read a file that was copied just now from its memory, not from the disk: to prove the disk, unmount and mount it first.',
  ],
  examples: [
    ['goodgate verify /volumes/A001', 'before anything is made of it'],
    ['goodgate verify /volumes/A001 --json > a001.json', 'for a program'],
  ],
  exits: {
    0: 'every listed file is as listed; unlisted files are told, and allowed unless --strict',
    1: 'a file changed or is missing, or the list is not the one its chain knows',
    2: 'the request is wrong: no such folder, no hash list, or one that cannot be read',
    3: 'nothing is known to have changed, but a file could not be read or proven',
    130: true,
  },
};

export function register(program: Command): void {
  program
    .command('verify')
    .description('hold every file of a card against its hash list (ASC MHL)')
    .argument('<card>', 'the folder with the folder ascmhl in it')
    .option('--anew', 'read every file, also what a pass that was stopped has read already')
    .option('--strict', 'treat unlisted files as failures')
    .option('--json', 'print the outcome of every file as JSON')
    .action(async (given: string, options: Options) => {
      const card = resolve(given);
      const interrupt = interruptSignal();
      const progress = hashProgress('verifying');
      try {
        const journal = await openJournal(readEnvironment().stateFolder, card, {
          now: new Date(),
          anew: options.anew ?? false,
        });
        const check = await verifyCard(card, {
          journal,
          signal: interrupt.signal,
          onProgress: progress.update,
        });
        await journal.remove();
        progress.stop();
        if (options.json) printJson(check);
        else print(cardCheckText(check));
        process.exitCode = exitCode(check, options.strict ?? false);
      } finally {
        progress.stop();
        interrupt.dispose();
      }
    });
}

function exitCode({ verdict }: CardCheck, strict: boolean): number {
  const codes = { pass: 0, warn: strict ? 1 : 0, fail: 1, unmeasured: 3 } as const;
  return codes[verdict];
}
