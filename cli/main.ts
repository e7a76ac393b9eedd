#!/usr/bin/env node
import { CommanderError } from 'commander';
import { exitCodeOf } from '../jobs/errors.js';
import { describeError, warn } from './print.js';
import { buildProgram } from './program.js';

async function main(): Promise<void> {
  // A reader that has seen enough (`| head`) is no fault.
  process.stdout.on('error', (error: NodeJS.ErrnoException) => {
    if (error.code === 'EPIPE') process.exit(process.exitCode ?? 0);
  });
  // A terminal that was closed, or a log that nobody reads any more, is no reason to end with another code.
  process.stderr.on('error', () => undefined);
  const words = process.argv.slice(2);
  try {
    const program = await buildProgram(words);
    await program.parseAsync(process.argv);
  } catch (error) {
    if (error instanceof CommanderError) {
      // commander has printed its message; help and version are no errors, everything else is a wrong
      // request.
      process.exitCode = error.exitCode === 0 ? 0 : 2;
      return;
    }
    warn(describeError(error, words.includes('--debug')));
    process.exitCode = process.exitCode === 130 ? 130 : exitCodeOf(error);
  }
}

await main();
