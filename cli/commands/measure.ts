import type { Command } from 'commander';
import type { WrittenColour } from '../../jobs/manifest/colour-words.js';
import { visible, wrap } from '../../jobs/words/plain-text.js';
import { writeWhole } from '../../workers/batch/write-whole.js';
import { FRAME_TABLE, type FrameFigures, frameTableCsv } from '../../workers/measure/figures/frame-table.js';
import { readEnvironment } from '../environment.js';
import { type CommandHelp, HELP_WIDTH } from '../help/command-help.js';
import { interruptSignal } from '../interrupt.js';
import { measureOne } from '../measure-one.js';
import { measurementText } from '../measurement-text.js';
import { requireNewFile } from '../new-file.js';
import { print, printJson, say } from '../print.js';
import { fractionProgress } from '../progress/fraction-progress.js';
import { colourOfFileOption } from './options.js';

export const help: CommandHelp = {
  examples: [
    ['goodgate measure A001C001.mov', 'all figures, for a person'],
    [
      'goodgate measure A001C001.mov --colour S-Log3/S-Gamut3.Cine',
      'of a clip whose tags do not tell its curve',
    ],
    [
      'goodgate measure master.mov --json --frames frames.csv',
      'for a program, and the figures of every frame',
    ],
  ],
  exits: { 0: 'measured, whatever the figures are', 130: true },
};

export function register(program: Command): void {
  program
    .command('measure')
    .description('measure a file from its decoded samples, without judging it')
    .argument('<file>', 'the media file')
    .option('--json', 'print one document (goodgate/measurement@1)')
    .option('--frames <file>', "write every frame's figures to a CSV file as well")
    .addOption(colourOfFileOption())
    .addHelpText('after', () => `\nColumns of --frames:\n${frameColumns()}`)
    .action(async (file: string, options: { json?: boolean; colour?: WrittenColour; frames?: string }) => {
      // A table may be written anew; anything else, the measured file first of all, may not.
      if (options.frames !== undefined) {
        await requireNewFile(options.frames, { force: true, endings: ['.csv'] });
      }
      const interrupt = interruptSignal();
      let frames: FrameFigures | null = null;
      const progress = fractionProgress('measuring');
      try {
        const { measurement } = await measureOne(file, {
          environment: readEnvironment(),
          colour: options.colour,
          signal: interrupt.signal,
          onFrameFigures: (figures) => {
            frames = figures;
          },
          onProgress: progress.update,
        });
        progress.stop();
        if (options.frames !== undefined) await writeFrames(options.frames, frames);
        if (options.json) printJson(measurement);
        else print(measurementText(measurement));
      } finally {
        progress.stop();
        interrupt.dispose();
      }
    });
}

function frameColumns(): string {
  const widest = Math.max(...FRAME_TABLE.map(({ name }) => name.length));
  const margin = widest + 4;
  return FRAME_TABLE.flatMap(({ name, meaning }) =>
    wrap(meaning, HELP_WIDTH - margin).map(
      (line, index) => `  ${(index === 0 ? name : '').padEnd(widest)}  ${line}`,
    ),
  ).join('\n');
}

async function writeFrames(path: string, figures: FrameFigures | null): Promise<void> {
  if (figures === null) {
    say('no picture was measured, so there is no table of frames');
    return;
  }
  await writeWhole(path, frameTableCsv(figures));
  say(`frames: ${visible(path)}`);
}
