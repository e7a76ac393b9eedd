import type { Command } from 'commander';
import type { CommandHelp } from '../../help/command-help.js';
import { print, printJson } from '../../print.js';
import { pauseBatch } from '../../run/pause-batch.js';
import { redisOption } from '../options.js';
import { BATCH_ARGUMENT, type SteerOptions, steering } from './steering.js';

export const help: CommandHelp = {
  notes: ['Workers take its clips again within a second.'],
  examples: [
    ['goodgate resume /work/a001', 'go on with it'],
    ['goodgate resume 3f2a --json', 'a batch by its id, for a program'],
  ],
  exits: {
    0: 'it goes on, or was so already',
    2: 'no such batch, or it has ended',
    3: 'the queue does not answer, or the folder cannot be written',
  },
};

export function register(program: Command): void {
  program
    .command('resume')
    .description('let a paused batch go on')
    .argument(...BATCH_ARGUMENT)
    .addOption(redisOption())
    .option('--json', 'print { batch, paused, changed }')
    .action(async (wanted: string, options: SteerOptions) => {
      await steering(wanted, options, async (batch, redis) => {
        const changed = await pauseBatch(batch, false, redis);
        const { id } = batch.plan;
        if (options.json) printJson({ batch: id, paused: false, changed });
        else print(`batch ${id}: ${changed ? 'goes on' : 'goes on already'}`);
      });
    });
}
