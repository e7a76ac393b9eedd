import type { Command } from 'commander';
import type { WrittenColour } from '../../jobs/manifest/colour-words.js';
import { compareCopy } from '../compare/compare-copy.js';
import { comparisonExitCode, comparisonText } from '../compare/comparison-text.js';
import { readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { interruptSignal } from '../interrupt.js';
import { startLogging } from '../logging.js';
import { print, printJson } from '../print.js';
import { fractionProgress } from '../progress/fraction-progress.js';
import { colourOfFileOption } from './options.js';

export const help: CommandHelp = {
  notes: [
    'A copy in the folder of the batch that made it is compared through its plan: rendering, size and look of the ' +
      'original are then those of the copy. Of any other copy only size, sampling, matrix and range are made equal.',
    'Judged as check --original does, by as-original without sound, same-frames, same-sound, and precision of 1 bit. ' +
      'More loss by coding is told in bits and decibels: a target decides how much is allowed.',
  ],
  examples: [
    ['goodgate compare A001C001.mov copy.mov', 'what of the picture and sound the copy kept'],
    ['goodgate compare v1.mov v2.mov --json', 'a master and the one delivered before'],
  ],
  exits: {
    0: 'the same picture and sound; coding may have cost detail, warnings are allowed',
    1: 'not so: other frames or timecode, damage, a mistake that is named, or no bit kept',
    3: 'nothing failed, but something could not be compared or has to be looked at',
    130: true,
  },
};

export function register(program: Command): void {
  program
    .command('compare')
    .description('compare a copy with its original: precision, mistakes, sound')
    .argument('<original>', 'the file it was made from')
    .argument('<copy>', 'the file to compare with it')
    .option('--json', 'print one document (goodgate/comparison@1)')
    .addOption(colourOfFileOption())
    .action(async (original: string, copy: string, options: { json?: boolean; colour?: WrittenColour }) => {
      const environment = readEnvironment();
      const interrupt = interruptSignal();
      const progress = fractionProgress('comparing');
      try {
        const found = await compareCopy(original, copy, {
          ...{ environment, colour: options.colour, signal: interrupt.signal },
          log: startLogging({ level: 'silent' }).log,
          onProgress: progress.update,
        });
        progress.stop();
        if (options.json) printJson(found);
        else print(comparisonText(found));
        process.exitCode = comparisonExitCode(found);
      } finally {
        progress.stop();
        interrupt.dispose();
      }
    });
}
