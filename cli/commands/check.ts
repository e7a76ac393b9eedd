import { basename, resolve } from 'node:path';
import { type Command, Option } from 'commander';
import { GoodgateError } from '../../jobs/errors.js';
import type { WrittenColour } from '../../jobs/manifest/colour-words.js';
import { loadTarget } from '../../jobs/targets/load-target.js';
import type { Target } from '../../jobs/targets/target.js';
import { visible } from '../../jobs/words/plain-text.js';
import { verdictExitCode } from '../../workers/judge/exit-code.js';
import { formatFindingsJson } from '../../workers/report/findings-json.js';
import { formatFindings } from '../../workers/report/findings-text.js';
import { formatJunit } from '../../workers/report/junit.js';
import { checkFiles } from '../check/check-files.js';
import { readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { interruptSignal } from '../interrupt.js';
import { startLogging } from '../logging.js';
import { print, say, warn } from '../print.js';
import { fractionProgress } from '../progress/fraction-progress.js';
import { targetFilesOf } from '../run/find-targets.js';
import { colourOfFileOption, targetFolderOption, targetsOption } from './options.js';

interface Options {
  target: string[];
  targetFolder?: string;
  format: 'text' | 'json' | 'junit';
  report?: string;
  strict?: boolean;
  verbose?: boolean;
  original?: string;
  json?: boolean;
  colour?: WrittenColour;
}

export const help: CommandHelp = {
  examples: [
    ['goodgate check master.mov --target uhd-pq-master', 'findings for a person, misses first'],
    ['goodgate check *.mov -t ./house.yaml --report qc', 'by a target of your own, and a report to open'],
    ['goodgate check copy.mp4 -t proxy-h264 --original A001C001.mov', 'a copy, compared with its original'],
    ['goodgate check master.mov -t hd-sdr-master --format junit > qc.xml', 'for CI'],
  ],
  exits: {
    0: 'all pass; warnings are allowed, unless --strict',
    1: 'a verdict is fail; with --strict also a warning, or what is unmeasured',
    2: 'the request is wrong: an option, a target, a missing file, a folder',
    3: 'nothing failed, but something could not be done, read or measured',
    130: true,
  },
};

export function register(program: Command): void {
  program
    .command('check')
    .description('measure finished files and judge them against a delivery target')
    .argument('<file...>', 'masters to check')
    .addOption(targetsOption('none'))
    .addOption(targetFolderOption())
    .addOption(
      new Option('--format <format>', 'what is written to stdout')
        .choices(['text', 'json', 'junit'])
        .default('text'),
    )
    .addOption(
      // Implied, it would be taken for a --format that it conflicts with.
      new Option('--json', 'the same as --format json').conflicts('format'),
    )
    .option('--original <file>', 'what the files were made from: compares each with it, as run does')
    .option(
      '--report <folder>',
      'write report.html, findings.csv, markers, measurements and verdicts here as well',
    )
    .option('--strict', 'treat warnings and unmeasured requirements as failures, unless they are waived')
    .addOption(colourOfFileOption())
    .action(async (files: string[], options: Options) => {
      if (options.target.length === 0) {
        throw new GoodgateError('bad-option', {
          what: 'no target is named to check against',
          next: 'add --target NAME; goodgate targets lists the built-in ones',
        });
      }
      const place = { baseFolder: process.cwd(), targetFolder: options.targetFolder };
      const named = new Map<string, Target>();
      for (const name of options.target) named.set(name, await loadTarget(name, place));
      const targets = [...named.values()];
      const environment = readEnvironment();
      const interrupt = interruptSignal();
      const progress = fractionProgress('measuring');
      const hashing = fractionProgress('hashing, for its waivers');
      try {
        const report = options.report === undefined ? null : resolve(options.report);
        const { verdicts, unmarked } = await checkFiles(files, targets, {
          ...{ environment, report, signal: interrupt.signal },
          colour: options.colour,
          original: options.original ?? null,
          targetFiles: await targetFilesOf(named, place),
          log: startLogging({ level: options.verbose ? 'debug' : 'silent' }).log,
          onProgress: progress.update,
          onFile: (path, number) => {
            const of = files.length === 1 ? '' : `${number} of ${files.length}: `;
            progress.name(`measuring ${of}${visible(basename(path))}`);
          },
          onReport: () => progress.name('writing stills and report'),
          onHash: hashing.update,
        });
        progress.stop();
        hashing.stop();
        if (report !== null) {
          say(`report: ${visible(report)}/report.html`);
          for (const { file, reason } of unmarked) warn(visible(`no markers for ${file}: ${reason}`));
        }
        const format = options.json ? 'json' : options.format;
        if (format === 'json') print(formatFindingsJson(verdicts).trimEnd());
        else if (format === 'junit') print(formatJunit(verdicts).trimEnd());
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
