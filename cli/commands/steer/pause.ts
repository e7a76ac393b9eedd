import type { Command } from 'commander';
import type { CommandHelp } from '../../help/command-help.js';
import { print, printJson } from '../../print.js';
import { pauseBatch } from '../../run/pause-batch.js';
import { redisOption } from '../options.js';
import { BATCH_ARGUMENT, type SteerOptions, steering } from './steering.js';

export const help: CommandHelp = {
  notes: [
    'Clips in hand are done to their end. Other batches go on. The batch stays paused when the server is restarted or loses it; submitting it again resumes it.',
  ],
  examples: [
    ['goodgate pause /work/a001', 'what runs is finished, nothing more is begun'],
    ['goodgate pause 3f2a --json', 'a batch by its id, for a program'],
  ],
  exits: {
    0: 'it is paused, or was so already',
    2: 'no such batch, or it has ended',
    3: 'the queue does not answer, or the folder cannot be written',
  },
};

export function register(program: Command): void {
  program
    .command('pause')
    .description('give out no more clips of a batch until it is resumed')
    .argument(...BATCH_ARGUMENT)
    .addOption(redisOption())
    .option('--json', 'print { batch, paused, changed }')
    .action(async (wanted: string, options: SteerOptions) => {
      await steering(wanted, options, async (batch, redis) => {
        const changed = await pauseBatch(batch, true, redis);
        const { id } = batch.plan;
        if (options.json) printJson({ batch: id, paused: true, changed });
        else print(`batch ${id}: ${changed ? 'paused' : 'paused already'}`);
      });
    });
}
