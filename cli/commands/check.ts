import { resolve } from 'node:path';
import { type Command, Option } from 'commander';
import { GoodgateError } from '../../jobs/errors.js';
import type { WrittenColour } from '../../jobs/manifest/colour-words.js';
import { loadTarget } from '../../jobs/targets/load-target.js';
import { visible } from '../../jobs/words/plain-text.js';
import { verdictExitCode } from '../../workers/judge/exit-code.js';
import { formatFindingsJson } from '../../workers/report/findings-json.js';
import { formatFindings } from '../../workers/report/findings-text.js';
import { formatJunit } from '../../workers/report/junit.js';
import { checkFiles } from '../check/check-files.js';
import { colourOption } from '../colour-option.js';
import { readEnvironment } from '../environment.js';
import { interruptSignal } from '../interrupt.js';
import { startLogging } from '../logging.js';
import { print, say } from '../print.js';
import { fractionProgress } from '../progress/fraction-progress.js';
import { repeatable } from './options.js';

interface Options {
  target: string[];
  format: 'text' | 'json' | 'junit';
  report?: string;
  strict?: boolean;
  colour?: WrittenColour;
}

export function register(program: Command): void {
  program
    .command('check')
    .description('measure finished files and judge them against a delivery target')
    .argument('<file...>', 'masters to check')
    .addOption(repeatable('-t, --target <name>', 'target, a name or a file', 'none'))
    .addOption(
      new Option('--format <format>', 'what is written to stdout')
        .choices(['text', 'json', 'junit'])
        .default('text'),
    )
    .option(
      '--report <folder>',
      'write report.html, findings.csv, markers, measurements and verdicts here as well',
    )
    .option('--strict', 'treat warnings and unmeasured requirements as failures, unless they are waived')
    .option(
      '--colour <colour>',
      'colour of a file whose tags do not state it, such as S-Log3/S-Gamut3.Cine or PQ',
      (text) => colourOption('--colour', text),
    )
    .addHelpText(
      'after',
      '\nExit codes: 0 all pass, 1 a verdict is fail, 2 the request is wrong,\n3 a requirement could not be measured or the work could not be done.\nWith --strict an unmeasured requirement ends in 1.',
    )
    .action(async (files: string[], options: Options) => {
      const isDebug = program.opts<{ debug?: boolean }>().debug ?? false;
      if (options.target.length === 0) {
        throw new GoodgateError('bad-option', {
          what: 'no target is named to check against',
          next: 'add --target NAME; goodgate targets lists the built-in ones',
        });
      }
      const targets = await Promise.all(
        options.target.map((name) => loadTarget(name, { baseFolder: process.cwd() })),
      );
      const environment = readEnvironment();
      const interrupt = interruptSignal();
      const progress = fractionProgress('measuring');
      const hashing = fractionProgress('hashing, for its waivers');
      try {
        const report = options.report === undefined ? null : resolve(options.report);
        const { verdicts, unmarked } = await checkFiles(files, targets, {
          ...{ environment, report, signal: interrupt.signal },
          colour: options.colour,
          log: startLogging({ level: isDebug ? 'debug' : 'silent' }).log,
          onProgress: progress.update,
          onHash: hashing.update,
        });
        progress.stop();
        hashing.stop();
        if (report !== null) {
          say(`report: ${visible(report)}/report.html`);
          for (const { file, reason } of unmarked) say(visible(`no markers for ${file}: ${reason}`));
        }
        if (options.format === 'json') print(formatFindingsJson(verdicts).trimEnd());
        else if (options.format === 'junit') print(formatJunit(verdicts).trimEnd());
        else {
          const colour = process.stdout.isTTY === true && !environment.noColour;
          print(formatFindings(verdicts, { colour }).trimEnd());
        }
        process.exitCode = verdictExitCode(verdicts, { strict: options.strict ?? false });
      } finally {
        progress.stop();
        hashing.stop();
        interrupt.dispose();
      }
    });
}
