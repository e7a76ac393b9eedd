import type { Command } from 'commander';
import { count } from '../../../jobs/words/numbers.js';
import { visible } from '../../../jobs/words/plain-text.js';
import type { CommandHelp } from '../../help/command-help.js';
import { print, printJson, warn } from '../../print.js';
import { cancelClips } from '../../run/cancel-clips.js';
import { chosenClips } from '../../run/steered-batch.js';
import { redisOption } from '../options.js';
import { BATCH_ARGUMENT, CLIP_ARGUMENT, type SteerOptions, steering } from './steering.js';

export const help: CommandHelp = {
  notes: [
    'Clips that wait leave the queue; workers stop those in hand within seconds and leave nothing half made. What is done stays, and the report tells who cancelled the rest. To do it after all: goodgate retry with the clip, or submit again.',
  ],
  examples: [
    ['goodgate cancel /work/a001', 'all clips of a batch that are not done'],
    ['goodgate cancel /work/a001 A001C002.mov', 'one of them'],
    ['goodgate cancel 3f2a --json', 'a batch by its id, for a program'],
  ],
  exits: {
    0: 'cancelled, and nobody works on it any more',
    2: 'no such batch or clip, or it is over',
    3: 'a worker did not tell in time that it stopped, or the queue does not answer',
    130: true,
  },
};

export function register(program: Command): void {
  program
    .command('cancel')
    .description('stop a batch or one clip of it; leave nothing half made')
    .argument(...BATCH_ARGUMENT)
    .argument(...CLIP_ARGUMENT)
    .addOption(redisOption())
    .option('--json', 'print { batch, cancelled, stopping }')
    .action(async (wanted: string, clip: string | undefined, options: SteerOptions) => {
      await steering(wanted, options, async (batch, redis, signal) => {
        const { plan } = batch;
        const { cancelled, stopping } = await cancelClips(batch, chosenClips(plan, clip), redis, signal);
        if (options.json) printJson({ batch: plan.id, cancelled, stopping });
        else print(`batch ${plan.id}: ${count(cancelled.length, 'clip')} cancelled`);
        if (stopping.length === 0) return;
        warn(
          `still in hand of a worker that does not answer: ${stopping.map(visible).join(', ')}; it stops there as soon as it does, and whoever takes it next leaves it`,
        );
        if (!signal.aborted) process.exitCode = 3;
      });
    });
}
