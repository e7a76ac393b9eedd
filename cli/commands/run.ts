import type { Command } from 'commander';
import { readEnvironment } from '../environment.js';
import { interruptSignal } from '../interrupt.js';
import { LOG_LEVELS, type LogLevel } from '../logging.js';
import { prepareShown } from '../prepare-shown.js';
import { print, printJson, say } from '../print.js';
import { batchExitCode } from '../run/batch-outcome.js';
import { runBatch } from '../run/run-batch.js';
import { batchSummary, documentsOf } from '../run/summary.js';
import { chosenLevel, repeatable, wholeNumber } from './options.js';

interface Options {
  target: string[];
  out?: string;
  replace?: boolean;
  jobs?: number;
  redis?: string;
  strict?: boolean;
  json?: boolean;
  logLevel?: string;
}

export function register(program: Command): void {
  program
    .command('run')
    .description('plan, make, measure, judge and report on this machine, now')
    .argument('<manifest>', 'a manifest, or a folder to scan')
    .addOption(repeatable('-t, --target <name>', 'target for every clip, a name or a file', "the manifest's"))
    .option('-o, --out <folder>', 'the batch folder (default: beside the manifest, named after it)')
    .option('--replace', 'give the folder to this batch, though it holds clips of another')
    .option('-j, --jobs <number>', 'clips worked on at once (default: what fits this machine)', wholeNumber)
    .option('--redis <url>', 'use this Redis server instead of the private one')
    .option('--strict', 'treat warnings as failures')
    .option('--json', 'print batch.json when done, and nothing else on stdout')
    .option('--log-level <level>', `lowest level of log lines on stderr: ${LOG_LEVELS.join(', ')}`, 'silent')
    .addHelpText(
      'after',
      '\nCtrl-C stops cleanly. Running the same command again does only what is missing.\nThe folder then holds outputs, measurements, verdicts, logs/batch.log, batch.json and report.html.',
    )
    .action(async (input: string, options: Options) => {
      const environment = readEnvironment();
      const level: LogLevel = chosenLevel(options.logLevel);
      const interrupt = interruptSignal(() => say('\nstopping: running clips go back to the queue ...'));
      try {
        const prepared = await prepareShown({
          input,
          targets: options.target,
          out: options.out,
          workers: options.jobs,
          environment,
          signal: interrupt.signal,
        });
        const batch = await runBatch(prepared, {
          environment,
          redis: options.redis,
          logLevel: level,
          signal: interrupt.signal,
          replace: options.replace ?? false,
        });
        const documents = await documentsOf(batch, prepared.plan.out);
        if (options.json) printJson(batch);
        else print(batchSummary(batch, documents, prepared.plan.out));
        process.exitCode = interrupt.signal.aborted
          ? 130
          : batchExitCode(batch, documents, options.strict ?? false);
      } finally {
        interrupt.dispose();
      }
    });
}
