import { resolve } from 'node:path';
import type { Command } from 'commander';
import { readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { interruptSignal } from '../interrupt.js';
import { startLogging } from '../logging.js';
import { print, printJson } from '../print.js';
import { reportAgain } from '../run/report-again.js';
import { batchSummary, documentsOf } from '../run/summary.js';

export const help: CommandHelp = {
  notes: [
    'Measures and judges nothing: it shows the documents that lie in the folder. What is gone, or was changed after it was judged, counts as unmeasured.',
  ],
  examples: [
    ['goodgate report /work/a001', 'report.html, the pages of all files, findings.csv and markers again'],
    ['goodgate report /work/a001 --json', 'and print batch.json for a program'],
  ],
  exits: {
    0: 'the reports are written',
    2: 'the folder holds no batch, or its batch is still running',
    3: 'the reports could not be written',
    130: true,
  },
};

export function register(program: Command): void {
  program
    .command('report')
    .description("make a batch's reports again from its folder")
    .argument('<folder>', 'the batch folder, or one that check --report wrote')
    .option('--json', 'print the batch as one document (goodgate/batch@1)')
    .action(async (folder: string, { json = false }: { json?: boolean }) => {
      const interrupt = interruptSignal();
      try {
        const out = resolve(folder);
        const batch = await reportAgain(out, {
          environment: readEnvironment(),
          signal: interrupt.signal,
          log: startLogging({ level: 'silent' }).log,
        });
        if (json) printJson(batch);
        else print(batchSummary(batch, await documentsOf(batch, out), out, { ran: false }));
      } finally {
        interrupt.dispose();
      }
    });
}
