import type { Command } from 'commander';
import { stringify } from 'yaml';
import { builtInTargets, loadTarget } from '../../jobs/load-target.js';
import type { Target } from '../../jobs/target.js';
import { visible, wrap } from '../../workers/report/plain-text.js';
import { print, printJson } from '../print.js';

function kind(target: Target): string {
  if (target.make === undefined) return 'judges';
  return target.require === undefined ? 'makes' : 'makes and judges';
}

export function register(program: Command): void {
  program
    .command('targets')
    .description('list the built-in targets; show and validate one, with everything it extends merged in')
    .argument('[name]', 'a built-in name or the path of a target file')
    .option('--json', 'print one document')
    .action(async (name: string | undefined, options: { json?: boolean }) => {
      if (name !== undefined) {
        const target = await loadTarget(name, { baseFolder: process.cwd() });
        if (options.json) printJson(target);
        else print(stringify(target).trimEnd());
        return;
      }
      const all = await builtInTargets();
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
