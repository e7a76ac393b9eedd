import type { Command } from 'commander';
import { storedPlanText } from '../../jobs/plan/stored-plan.js';
import { thereOf } from '../../workers/batch/assemble.js';
import { readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { interruptSignal } from '../interrupt.js';
import { alreadyThereLines, standingOfOutputs } from '../plan/already-there.js';
import { misfits, planOutlook } from '../plan/plan-outlook.js';
import { planText } from '../plan-text.js';
import { type PlanOptions, prepareShown } from '../prepare-shown.js';
import { print, printText } from '../print.js';
import {
  batchesOption,
  byOption,
  jobsOption,
  NOTES_BY,
  outFolderOption,
  redisOption,
  refuseLossesOption,
  targetFolderOption,
  targetsOption,
} from './options.js';

interface Options extends PlanOptions {
  all?: boolean;
  json?: boolean;
}

export const help: CommandHelp = {
  notes: [
    'Sizes and times are corrected by what finished clips of the same kind came to, on this machine and, with a server, at this site; it is told of how many.',
    'Each loss has a severity: slight (rounding, light coding, notes beside the picture), marked (detail or data that nothing brings back) or grave (what is seen is changed, or a part is gone).',
    NOTES_BY,
  ],
  examples: [
    ['goodgate plan a001.yaml', 'what would be made, by the targets of the manifest'],
    ['goodgate plan /volumes/A001 -t proxy-h264 --all', 'of a folder, every clip by itself'],
    ['goodgate plan a001.yaml --by 07:00', 'and whether it is done in the morning'],
    ['goodgate plan a001.yaml --refuse-losses marked', 'no intermediate that loses depth or detail'],
    ['goodgate plan a001.yaml --json > plan.json', 'for a program'],
  ],
  exits: {
    0: 'all can be done',
    3: 'something is refused or unreadable, does not fit the disk or the hour, or could not be done',
    130: true,
  },
};

export function register(program: Command): void {
  program
    .command('plan')
    .description('show jobs, sizes, times, space needed and every loss; queue nothing')
    .argument('<manifest>', 'a manifest, or a folder to scan')
    .addOption(targetsOption("the manifest's"))
    .addOption(targetFolderOption())
    .addOption(outFolderOption())
    .addOption(batchesOption())
    .addOption(jobsOption())
    .addOption(byOption())
    .addOption(refuseLossesOption())
    .addOption(redisOption())
    .option('--all', 'tell every clip by itself; without it clips of one kind are told together')
    .option('--json', 'print the plan as one document, as plan.json has it (goodgate/plan@1)')
    .action(async (input: string, options: Options) => {
      const interrupt = interruptSignal();
      try {
        const prepared = await prepareShown(input, options, {
          environment: readEnvironment(),
          signal: interrupt.signal,
        });
        const { plan, unreadable } = prepared.asked;
        const outlook = await planOutlook(plan, options.by, new Date());
        if (options.json) await printText(storedPlanText(prepared.plan, { outlook }));
        else {
          const standings = await standingOfOutputs(prepared);
          const left = await thereOf(plan.out, prepared.plan.left);
          const there = standings === null ? [] : alreadyThereLines(standings, prepared.kept.size, left);
          print(planText(plan, unreadable, { all: options.all ?? false, there, outlook }));
        }
        if (plan.refused.length + unreadable.length + misfits(outlook).length > 0) process.exitCode = 3;
      } finally {
        interrupt.dispose();
      }
    });
}
