import type { Command } from 'commander';
import { count } from '../../../jobs/words/numbers.js';
import type { CommandHelp } from '../../help/command-help.js';
import { print, printJson } from '../../print.js';
import { retryClips } from '../../run/retry-clips.js';
import { chosenClips } from '../../run/steered-batch.js';
import { redisOption } from '../options.js';
import { BATCH_ARGUMENT, CLIP_ARGUMENT, type SteerOptions, steering } from './steering.js';

export const help: CommandHelp = {
  notes: [
    'Only clips that failed are done again, and those that were cancelled where they are named. A batch that has ended gets a new report when they are done.',
  ],
  examples: [
    ['goodgate retry /work/a001', 'all clips of a batch that failed'],
    ['goodgate retry /work/a001 A001C002.mov', 'one that failed or was cancelled'],
    ['goodgate retry 3f2a --json', 'a batch by its id, for a program'],
  ],
  exits: {
    0: 'the clips are queued',
    2: 'no such batch or clip, or nothing of it failed',
    3: 'the queue does not answer, or the folder cannot be written',
    130: true,
  },
};

export function register(program: Command): void {
  program
    .command('retry')
    .description('queue clips of a batch again that failed')
    .argument(...BATCH_ARGUMENT)
    .argument(...CLIP_ARGUMENT)
    .addOption(redisOption())
    .option('--json', 'print { batch, queued }')
    .action(async (wanted: string, clip: string | undefined, options: SteerOptions) => {
      await steering(wanted, options, async (batch, redis, signal) => {
        const { plan } = batch;
        const clips = chosenClips(plan, clip);
        const queued = await retryClips(batch, clips, clip !== undefined, redis, signal);
        if (options.json) printJson({ batch: plan.id, queued });
        else print(`batch ${plan.id}: ${count(queued.length, 'clip')} queued again`);
      });
    });
}
