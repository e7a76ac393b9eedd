import type { Command } from 'commander';
import { ENVIRONMENT_WORDS } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { manPage } from '../help/man-page.js';
import { print } from '../print.js';
import { goodgateVersion } from '../version.js';

export const help: CommandHelp = {
  examples: [
    ['goodgate man | man -l -', 'read it'],
    ['goodgate man > ~/.local/share/man/man1/goodgate.1', 'keep it, where `man goodgate` finds it'],
  ],
  exits: { 0: 'the page was printed' },
};

export function register(program: Command): void {
  program
    .command('man')
    .description('print the manual page of all commands')
    .action(() => {
      const environment = { title: 'Environment', entries: ENVIRONMENT_WORDS };
      print(manPage(program, goodgateVersion(), [environment]).trimEnd());
    });
}
