import type { Command } from 'commander';
import { visible } from '../../jobs/words/plain-text.js';
import { readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { interruptSignal } from '../interrupt.js';
import type { LogLevel } from '../logging.js';
import {
  NOTICE_HELP,
  type NoticeOptions,
  noticeTo,
  notifyCommandOption,
  notifyUrlOption,
  untold,
} from '../notice-option.js';
import { misfits, planOutlook } from '../plan/plan-outlook.js';
import { type PlanOptions, prepareShown } from '../prepare-shown.js';
import { print, printJson, say, warn } from '../print.js';
import { attestOutputs } from '../run/attest-outputs.js';
import { batchExitCode } from '../run/batch-outcome.js';
import { runBatch } from '../run/run-batch.js';
import { batchSummary, documentsOf } from '../run/summary.js';
import {
  batchesOption,
  byOption,
  jobsOption,
  logLevelOption,
  NOTES_BY,
  outFolderOption,
  redisOption,
  refuseLossesOption,
  replaceOption,
  targetFolderOption,
  targetsOption,
} from './options.js';

interface Options extends PlanOptions, NoticeOptions {
  replace?: boolean;
  redis?: string;
  attest?: boolean;
  strict?: boolean;
  json?: boolean;
  logLevel: LogLevel;
}

export const help: CommandHelp = {
  notes: [
    'Where a card has a hash list (goodgate verify), each clip is held against it before it is read; one that is damaged is not made, and the others go on.',
    NOTES_BY,
    NOTICE_HELP,
    'Ctrl-C stops cleanly; the same command again does only what is missing.',
    'The batch folder then holds outputs, measurements, verdicts, logs/batch.log, batch.json and report.html.',
  ],
  examples: [
    ['goodgate run a001.yaml --out /work/a001', 'what the manifest asks for'],
    ['goodgate run /volumes/A001 -t proxy-h264', 'a folder without a manifest'],
    ['goodgate run a001.yaml --json -q > batch.json', 'for a program: one document and problems alone'],
  ],
  exits: {
    0: 'all pass; warnings are allowed, unless --strict',
    1: 'a verdict is fail; with --strict also a warning, or what is unmeasured',
    2: 'the request is wrong: an option, a document, a target, an empty folder',
    3: 'nothing failed, but something could not be done, read or measured',
    130: true,
  },
};

export function register(program: Command): void {
  program
    .command('run')
    .description('plan, make, measure, judge and report on this machine, now')
    .argument('<manifest>', 'a manifest, or a folder to scan')
    .addOption(targetsOption("the manifest's"))
    .addOption(targetFolderOption())
    .addOption(outFolderOption())
    .addOption(batchesOption())
    .addOption(replaceOption())
    .addOption(jobsOption())
    .addOption(byOption())
    .addOption(refuseLossesOption())
    .addOption(redisOption())
    .addOption(notifyCommandOption())
    .addOption(notifyUrlOption())
    .option('--attest', 'write a hash list (ASC MHL) of the outputs of each target')
    .option('--strict', 'treat warnings as failures')
    .option('--json', 'print batch.json when done, and nothing else on stdout')
    .addOption(logLevelOption('silent'))
    .action(async (input: string, options: Options) => {
      const environment = readEnvironment();
      const notify = noticeTo(options);
      const interrupt = interruptSignal(() => say('\nstopping: running clips go back to the queue ...'));
      try {
        const prepared = await prepareShown(input, options, { environment, signal: interrupt.signal });
        for (const warning of prepared.warnings) warn(visible(warning));
        const outlook = await planOutlook(prepared.plan, options.by, new Date());
        for (const text of misfits(outlook)) warn(visible(text));
        const batch = await runBatch(prepared, {
          environment,
          redis: options.redis,
          logLevel: options.logLevel,
          signal: interrupt.signal,
          replace: options.replace ?? false,
          notify,
          mattersFirst: options.by !== undefined,
        });
        if (batch.state === 'finished')
          for (const problem of await untold(notify, prepared.plan.out)) warn(visible(problem));
        const isSame =
          !options.attest ||
          batch.state !== 'finished' ||
          (await attestOutputs(batch, prepared.plan.out, interrupt.signal));
        const documents = await documentsOf(batch, prepared.plan.out);
        if (options.json) printJson(batch);
        else print(batchSummary(batch, documents, prepared.plan.out));
        process.exitCode = interrupt.signal.aborted
          ? 130
          : isSame
            ? batchExitCode(batch, documents, options.strict ?? false)
            : 1;
      } finally {
        interrupt.dispose();
      }
    });
}
