import type { Command } from 'commander';
import { GoodgateError } from '../../jobs/errors.js';
import type { Priority } from '../../jobs/plan/submission.js';
import { count } from '../../jobs/words/numbers.js';
import { visible } from '../../jobs/words/plain-text.js';
import { readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { interruptSignal } from '../interrupt.js';
import { lockPlan } from '../lock-folder.js';
import { openQueue } from '../open-queue.js';
import { misfits, planOutlook } from '../plan/plan-outlook.js';
import type { Prepared } from '../prepare-plan.js';
import { type PlanOptions, prepareShown } from '../prepare-shown.js';
import { print, printJson, say, warn } from '../print.js';
import { submitBatch } from '../run/submit-batch.js';
import {
  batchesOption,
  byOption,
  NOTES_BY,
  outFolderOption,
  priorityOption,
  redisOption,
  refuseLossesOption,
  replaceOption,
  targetFolderOption,
  targetsOption,
} from './options.js';

export const help: CommandHelp = {
  notes: [
    'A worker that has a free place takes a clip of a rush batch first, then of a normal one, then of an idle one. What it has in hand is done to its end.',
    NOTES_BY,
  ],
  examples: [
    ['goodgate submit a001.yaml -t proxy-h264 --out /work/a001', 'queue a batch; workers do the rest'],
    ['goodgate submit b002.yaml --priority rush', 'its clips are the next that any worker takes'],
    ['goodgate submit a001.yaml --json', 'and print its id for a program'],
  ],
  exits: {
    0: 'all clips are queued',
    3: 'something is refused or unreadable (the rest is queued), or nothing could be queued',
    130: true,
  },
};

function requireJobs({ asked: { plan, unreadable } }: Prepared): void {
  if (plan.jobs.length > 0) return;
  throw new GoodgateError('nothing-to-do', {
    what: `nothing can be queued: ${count(plan.refused.length, 'clip')} refused, ${count(unreadable.length, 'file')} unreadable`,
    next: 'goodgate plan says why',
  });
}

export function register(program: Command): void {
  program
    .command('submit')
    .description('plan and queue only; workers on any machine do the rest (goodgate work)')
    .argument('<manifest>', 'a manifest, or a folder to scan')
    .addOption(targetsOption("the manifest's"))
    .addOption(targetFolderOption())
    .addOption(outFolderOption())
    .addOption(batchesOption())
    .addOption(replaceOption())
    .addOption(priorityOption())
    .addOption(byOption())
    .addOption(refuseLossesOption())
    .addOption(redisOption())
    .option('--json', 'print { batch, out, jobs }')
    .action(
      async (
        input: string,
        options: PlanOptions & {
          replace?: boolean;
          priority: Priority;
          redis?: string;
          json?: boolean;
        },
      ) => {
        const environment = readEnvironment();
        const interrupt = interruptSignal();
        try {
          const planned = await prepareShown(input, options, { environment, signal: interrupt.signal });
          requireJobs(planned);
          for (const text of misfits(await planOutlook(planned.plan, options.by, new Date())))
            warn(visible(text));
          const { lock, prepared } = await lockPlan(planned, interrupt.signal);
          try {
            const queue = await openQueue(environment, options.redis);
            try {
              const { replace = false, priority, by } = options;
              const mattersFirst = by !== undefined;
              await submitBatch(prepared, { environment, queue, replace, priority, mattersFirst });
            } finally {
              await queue.close();
            }
          } finally {
            await lock.release();
          }
          const { plan } = prepared;
          const { plan: own, unreadable } = prepared.asked;
          if (options.json) printJson({ batch: plan.id, out: plan.out, jobs: own.jobs.length });
          else {
            print(`batch ${plan.id}: ${count(own.jobs.length, 'clip')} queued`);
            const others = prepared.kept.size;
            if (others > 0) say(`joined ${count(others, 'clip')} that the batch has already`);
            say(`out: ${visible(plan.out)}\nnext: goodgate work, then goodgate status ${plan.id}`);
          }
          for (const { clip, target, reason } of own.refused) {
            warn(`refused: ${visible(clip)}${target === null ? '' : ` -> ${target}`}: ${visible(reason)}`);
          }
          for (const { file, reason } of unreadable) warn(`cannot read ${visible(file)}: ${visible(reason)}`);
          for (const warning of prepared.warnings) warn(visible(warning));
          if (own.refused.length + unreadable.length > 0) process.exitCode = 3;
        } finally {
          interrupt.dispose();
        }
      },
    );
}
