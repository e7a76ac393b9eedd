import type { Command } from 'commander';
import { readEnvironment } from '../environment.js';
import { interruptSignal } from '../interrupt.js';
import { planText } from '../plan-text.js';
import { prepareShown } from '../prepare-shown.js';
import { print, printJson } from '../print.js';
import { repeatable, wholeNumber } from './options.js';

interface Options {
  target: string[];
  out?: string;
  jobs?: number;
  all?: boolean;
  json?: boolean;
}

export function register(program: Command): void {
  program
    .command('plan')
    .description('show jobs, sizes, times, space needed and every loss; queue nothing')
    .argument('<manifest>', 'a manifest, or a folder to scan')
    .addOption(repeatable('-t, --target <name>', 'target for every clip, a name or a file', "the manifest's"))
    .option('-o, --out <folder>', 'the batch folder to plan for')
    .option('-j, --jobs <number>', 'clips worked on at once', wholeNumber)
    .option('--all', 'tell every clip by itself; without it clips of one kind are told together')
    .option('--json', 'print the plan as one document (goodgate/plan@1)')
    .action(async (input: string, options: Options) => {
      const interrupt = interruptSignal();
      try {
        const { plan, unreadable } = await prepareShown({
          input,
          targets: options.target,
          out: options.out,
          workers: options.jobs,
          environment: readEnvironment(),
          signal: interrupt.signal,
        });
        if (options.json) printJson(plan);
        else print(planText(plan, unreadable, { all: options.all ?? false }));
        if (plan.refused.length + unreadable.length > 0) process.exitCode = 3;
      } finally {
        interrupt.dispose();
      }
    });
}
