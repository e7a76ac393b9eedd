import { stat } from 'node:fs/promises';
import { resolve } from 'node:path';
import type { Command } from 'commander';
import { GoodgateError } from '../../jobs/errors.js';
import type { WrittenColour } from '../../jobs/manifest/colour-words.js';
import { sequenceName } from '../../jobs/manifest/sequence-path.js';
import { resolveColour } from '../../planner/clip-colour.js';
import { compareFiles } from '../../workers/compare/compare-files.js';
import { readAlike } from '../../workers/compare/read-alike.js';
import { probeClip } from '../../workers/probe/probe-clip.js';
import { atRateOf } from '../check/rate-of-sequence.js';
import { recipeOfCopy } from '../check/recipe-of-copy.js';
import { comparisonText, differences } from '../compare/comparison-text.js';
import { type Environment, readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { interruptSignal } from '../interrupt.js';
import { print, printJson } from '../print.js';
import { fractionProgress } from '../progress/fraction-progress.js';
import { colourOfFileOption } from './options.js';

export const help: CommandHelp = {
  notes: [
    'A copy in the folder of the batch that made it is compared through its plan: rendering, size and look of the ' +
      'original are then those of the copy. Of any other copy only size, sampling, matrix and range are made equal.',
    'Loss by coding is told in bits and decibels, and is no reason for exit code 1: a target decides how much is ' +
      'allowed (precision).',
  ],
  examples: [
    ['goodgate compare A001C001.mov copy.mov', 'what of the picture and sound the copy kept'],
    ['goodgate compare v1.mov v2.mov --json', 'a master and the one delivered before'],
  ],
  exits: {
    0: 'the same picture and sound; coding may have cost detail',
    1: 'not so: other frames or timecode, or a mistake that is named',
    3: 'nothing differs, but something could not be compared',
    130: true,
  },
};

export function register(program: Command): void {
  program
    .command('compare')
    .description('compare a copy with its original: precision, mistakes, sound')
    .argument('<original>', 'the file it was made from')
    .argument('<copy>', 'the file to compare with it')
    .option('--json', 'print one document (goodgate/comparison@1)')
    .addOption(colourOfFileOption())
    .action(async (original: string, copy: string, options: { json?: boolean; colour?: WrittenColour }) => {
      const environment = readEnvironment();
      const interrupt = interruptSignal();
      const progress = fractionProgress('comparing');
      try {
        const { signal } = interrupt;
        const first = await readFile(original, { environment, signal, colour: options.colour });
        const second = await readFile(copy, { environment, signal, colour: undefined });
        const recipe = await recipeOfCopy(second.path, first.path);
        const rate = recipe?.frameRate;
        const [had, is] = readAlike(
          atRateOf(first, rate ?? second.facts.video?.frameRate),
          atRateOf(second, rate ?? first.facts.video?.frameRate),
          options.colour,
        );
        const found = await compareFiles(had, is, {
          recipe,
          ...{ tools: environment.tools, signal, onProgress: progress.update },
        });
        progress.stop();
        if (options.json) printJson(found);
        else print(comparisonText(found));
        process.exitCode = differences(found).length > 0 ? 1 : found.unmeasured.length > 0 ? 3 : 0;
      } finally {
        progress.stop();
        interrupt.dispose();
      }
    });
}

interface ReadOptions {
  readonly environment: Environment;
  readonly signal: AbortSignal;
  readonly colour: WrittenColour | undefined;
}

async function readFile(file: string, { environment, signal, colour }: ReadOptions) {
  const path = resolve(file);
  if (sequenceName(path) === null && !(await stat(path).catch(() => null))?.isFile()) {
    throw new GoodgateError('missing-file', {
      what: 'there is no such file',
      where: file,
      next: 'check the path',
    });
  }
  const facts = await probeClip(path, { tools: environment.tools, signal });
  return { path, facts, colour: facts.video === null ? null : resolveColour(facts.video, colour).colour };
}
