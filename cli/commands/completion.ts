import { Argument, type Command } from 'commander';
import { builtInTargets } from '../../jobs/targets/load-target.js';
import type { CommandHelp } from '../help/command-help.js';
import { completionScript, SHELLS, type Shell } from '../help/completion.js';
import { print } from '../print.js';

export const help: CommandHelp = {
  examples: [
    ['source <(goodgate completion bash)', 'complete in this shell; put the line into ~/.bashrc to keep it'],
    ['goodgate completion zsh > ~/.zfunc/_goodgate', 'in a folder of $fpath'],
    ['goodgate completion fish > ~/.config/fish/completions/goodgate.fish', 'for every fish from now on'],
  ],
  exits: { 0: 'the script was printed' },
};

export function register(program: Command): void {
  program
    .command('completion')
    .description('print a script that completes commands, options and targets in a shell')
    .addArgument(new Argument('<shell>', 'the shell it is for').choices(SHELLS))
    .action(async (shell: Shell) => {
      const targets = (await builtInTargets()).map(({ name }) => name);
      print(completionScript(shell, program, targets));
    });
}
