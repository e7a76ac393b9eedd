import { type Command, Option } from 'commander';
import { DOCUMENT_NAMES, type DocumentName, jsonSchema } from '../../jobs/documents/json-schemas.js';
import { builtInTargets, loadLayeredTarget, loadTarget, targetsIn } from '../../jobs/targets/load-target.js';
import type { Target } from '../../jobs/targets/target.js';
import { visible, wrap } from '../../jobs/words/plain-text.js';
import { requirementTable } from '../../workers/judge/requirement-table.js';
import type { CommandHelp } from '../help/command-help.js';
import { print, printJson } from '../print.js';
import { formatRequirements, requirementsPage } from '../requirements-text.js';
import { formatTarget } from '../target-text.js';
import { targetFolderOption } from './options.js';

interface Options {
  json?: boolean;
  targetFolder?: string;
  requirements?: 'markdown' | true;
  schema?: DocumentName | true;
}

function kind(target: Target): string {
  if (target.make === undefined) return 'judges';
  return target.require === undefined ? 'makes' : 'makes and judges';
}

function printRequirements({ json, requirements }: Options): void {
  const table = requirementTable();
  if (json) printJson(table);
  else if (requirements === 'markdown') print(requirementsPage(table).trimEnd());
  else print(formatRequirements(table));
}

export const help: CommandHelp = {
  examples: [
    ['goodgate targets', 'list the built-in ones'],
    ['goodgate targets uhd-pq-master', 'one whole, with the source of every limit'],
    ['goodgate targets ./house.yaml', 'is a target of your own right?'],
    ['goodgate targets --requirements', 'all that a target can require'],
  ],
  exits: { 0: 'told, and right' },
};

export function register(program: Command): void {
  program
    .command('targets')
    .description(
      'list the built-in targets; show and validate one, with everything it extends merged in and where each value comes from',
    )
    .argument('[target]', 'a built-in name or the path of a target file')
    .addOption(targetFolderOption())
    .option('--json', 'print one document')
    .addOption(
      new Option(
        '--schema [document]',
        'print the JSON Schema of targets, or of another document, for editors and programs',
      ).choices(DOCUMENT_NAMES),
    )
    .addOption(
      new Option(
        '--requirements [form]',
        'print what a target can require: what each requirement demands, why, and its limits',
      ).choices(['markdown']),
    )
    .action(async (name: string | undefined, options: Options) => {
      if (options.requirements !== undefined) {
        printRequirements(options);
        return;
      }
      if (options.schema !== undefined) {
        printJson(jsonSchema(options.schema === true ? 'target' : options.schema));
        return;
      }
      if (name !== undefined) {
        const layered = await loadLayeredTarget(name, {
          baseFolder: process.cwd(),
          targetFolder: options.targetFolder,
        });
        if (options.json) printJson(layered.target);
        else print(formatTarget(layered));
        return;
      }
      const own = options.targetFolder === undefined ? [] : await targetsIn(options.targetFolder);
      const files = own.map(({ file }) => loadTarget(file, { baseFolder: process.cwd() }));
      const all = [...(await builtInTargets()), ...(await Promise.all(files))];
      if (options.json) {
        printJson(all);
        return;
      }
      for (const target of all) {
        print(target.name);
        for (const line of wrap(`${visible(target.title)}; ${kind(target)}`, 76)) print(`    ${line}`);
      }
    });
}
