import { Command } from 'commander';
import { register as registerCheck } from './commands/check.js';
import { register as registerDoctor } from './commands/doctor.js';
import { register as registerLevels } from './commands/levels.js';
import { register as registerLut } from './commands/lut.js';
import { register as registerMeasure } from './commands/measure.js';
import { register as registerPattern } from './commands/pattern.js';
import { register as registerPlan } from './commands/plan.js';
import { register as registerRun } from './commands/run.js';
import { register as registerScan } from './commands/scan.js';
import { register as registerStatus } from './commands/status.js';
import { register as registerSubmit } from './commands/submit.js';
import { register as registerTargets } from './commands/targets.js';
import { register as registerWaive } from './commands/waive.js';
import { register as registerWork } from './commands/work.js';
import { goodgateVersion } from './version.js';

const EXIT_CODES = `
Exit codes: 0 all pass, 1 a verdict is fail, 2 the request is wrong, 3 the work
could not be done or a requirement could not be measured, 130 interrupted.`;

/** The command line as data: nothing runs until it is parsed. */
export function buildProgram(): Command {
  const program = new Command('goodgate')
    .description(
      'Plan, make, measure and judge: overnight intermediates and proxies, and delivery checks of masters.',
    )
    .version(goodgateVersion())
    .option('--debug', 'print the stack of an error')
    .addHelpText('after', EXIT_CODES)
    .showHelpAfterError('(goodgate --help lists the commands)')
    .configureOutput({ writeErr: (text) => process.stderr.write(text) })
    .exitOverride();
  const registers = [
    registerScan,
    registerPlan,
    registerRun,
    registerSubmit,
    registerWork,
    registerStatus,
    registerMeasure,
    registerCheck,
    registerWaive,
    registerLevels,
    registerLut,
    registerPattern,
    registerTargets,
    registerDoctor,
  ];
  for (const register of registers) register(program);
  for (const command of program.commands) command.exitOverride();
  return program;
}
