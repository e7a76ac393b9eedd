import { relative, resolve } from 'node:path';
import { type Command, Option } from 'commander';
import { type HashFormat, WRITTEN_FORMATS } from '../../jobs/hash-list/hash-format.js';
import { count } from '../../jobs/words/numbers.js';
import { visible } from '../../jobs/words/plain-text.js';
import { bytes } from '../../jobs/words/quantities.js';
import { type Attested, attestedVerdict, attestFolder } from '../../workers/hash-list/attest-folder.js';
import { openJournal } from '../../workers/hash-list/journal.js';
import { readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { interruptSignal } from '../interrupt.js';
import { print, printJson } from '../print.js';
import { hashProgress } from '../progress/hash-progress.js';
import { goodgateVersion } from '../version.js';
import { repeatable } from './options.js';

interface Options {
  format?: HashFormat;
  ignore: string[];
  json?: boolean;
}

export const help: CommandHelp = {
  notes: [
    'Files that are listed already are verified, new ones are added, with directory hashes and the chain file. Folders in it that have a list of their own get a generation too. A file that changed is in the new generation as failed; its first hash stays the one that counts.',
  ],
  examples: [
    ['goodgate attest /volumes/A001', 'the next generation; the first where there is none'],
    ['goodgate attest /volumes/A001 --format c4', 'add another format to the one it has'],
    ["goodgate attest /volumes/A001 --ignore '*.tmp'", 'leave files out from now on'],
  ],
  exits: {
    0: 'the generation is written, and every file of earlier ones is as listed',
    1: 'it is written; a file of an earlier generation changed or is missing',
    2: 'the request is wrong: no such folder, or its hash list is not whole',
    3: 'nothing is written: a file could not be read, or the list not written',
    130: true,
  },
};

export function register(program: Command): void {
  program
    .command('attest')
    .description('write the next generation of the hash list of a folder (ASC MHL)')
    .argument('<folder>', 'a card, or a folder of outputs')
    .addOption(
      new Option(
        '--format <format>',
        'format of the hashes (default: as in the last generation, or xxh64)',
      ).choices(WRITTEN_FORMATS),
    )
    .addOption(
      repeatable('--ignore <pattern>', 'leave out, in the syntax of gitignore', 'what the list ignores'),
    )
    .option('--json', 'print what was written as JSON')
    .action(async (given: string, options: Options) => {
      const folder = resolve(given);
      const interrupt = interruptSignal();
      const progress = hashProgress('hashing');
      try {
        const now = new Date();
        const attested = await attestFolder(folder, {
          format: options.format,
          ignore: options.ignore,
          version: goodgateVersion(),
          now,
          journal: await openJournal(readEnvironment().stateFolder, folder, { now }),
          signal: interrupt.signal,
          onProgress: progress.update,
        });
        progress.stop();
        if (options.json) printJson({ folder, ...attested });
        else print(attestedText(folder, attested));
        process.exitCode = attestedVerdict(attested) === 'fail' ? 1 : 0;
      } finally {
        progress.stop();
        interrupt.dispose();
      }
    });
}

function attestedText(
  folder: string,
  { written, files, bytes: size, format, changed, missing }: Attested,
): string {
  return [
    ...changed.map((path) => `changed    ${visible(path)}`),
    ...missing.map((path) => `missing    ${visible(path)}`),
    `${count(files, 'file')}, ${bytes(size)}, in ${format}; wrote`,
    ...written.map((path) => `  ${visible(relative(folder, path))}`),
  ].join('\n');
}
