import type { Command } from 'commander';
import { readEnvironment } from '../environment.js';
import { interruptSignal } from '../interrupt.js';
import { colourOption, measureOne } from '../measure-one.js';
import { measurementText } from '../measurement-text.js';
import { print, printJson } from '../print.js';
import { fractionProgress } from '../progress/fraction-progress.js';

export function register(program: Command): void {
  program
    .command('measure')
    .description('measure a file from its decoded samples; no opinion')
    .argument('<file>', 'the media file')
    .option('--json', 'print one document (goodgate/measurement@1)')
    .option(
      '--colour <colour>',
      'what the code values mean where tags do not say it, such as S-Log3/S-Gamut3.Cine',
    )
    .action(async (file: string, options: { json?: boolean; colour?: string }) => {
      const interrupt = interruptSignal();
      const progress = fractionProgress('measuring');
      try {
        const { measurement } = await measureOne(file, {
          environment: readEnvironment(),
          colour: colourOption(options.colour),
          signal: interrupt.signal,
          onProgress: progress.update,
        });
        progress.stop();
        if (options.json) printJson(measurement);
        else print(measurementText(measurement));
      } finally {
        progress.stop();
        interrupt.dispose();
      }
    });
}
