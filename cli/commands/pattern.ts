import { resolve } from 'node:path';
import type { Command } from 'commander';
import { nearestWord } from '../../jobs/documents/document-problems.js';
import { GoodgateError } from '../../jobs/errors.js';
import { count } from '../../jobs/words/numbers.js';
import { visible } from '../../jobs/words/plain-text.js';
import {
  hasFixedShape,
  makePattern,
  PATTERN_NAMES,
  type PatternName,
  type PatternShape,
  USUAL_SHAPE,
} from '../../signal/pattern/patterns.js';
import { formatRational, parseRational } from '../../signal/rational.js';
import { PATTERN_EXTENSIONS, writePattern } from '../../workers/pattern/write-pattern.js';
import { readEnvironment } from '../environment.js';
import type { CommandHelp } from '../help/command-help.js';
import { interruptSignal } from '../interrupt.js';
import { requireNewFile } from '../new-file.js';
import { printJson, say } from '../print.js';
import { wholeNumber } from './options.js';

interface PatternOptions {
  readonly out: string;
  readonly json?: boolean;
  readonly force?: boolean;
  readonly frames: number;
  readonly rate: string;
  readonly size?: string;
  readonly depth?: string;
}

export const help: CommandHelp = {
  examples: [
    ['goodgate pattern bt2111-pq -o bars.mkv', 'colour bars for PQ'],
    ['goodgate pattern ramp --size 3840x2160 --depth 12 -o ramp.mkv', 'every code of 12 bits'],
  ],
  exits: { 0: 'the file is written', 130: true },
};

export function register(program: Command): void {
  program
    .command('pattern')
    .description("write a standard's test picture as a lossless file with its exact codes")
    .argument('<name>', PATTERN_NAMES.join(', '))
    .requiredOption('-o, --out <file>', `the file to write (${PATTERN_EXTENSIONS.join(', ')})`)
    .option('--force', 'replace a file of these that is there')
    .option('--json', 'print what was written, and where')
    .option('--frames <count>', 'how many frames', wholeNumber, 25)
    .option('--rate <rate>', 'frames a second', rateOption, '25/1')
    .option('--size <size>', 'ramp and zone-plate: WIDTHxHEIGHT (default: 1920x1080)')
    .option('--depth <bits>', 'ramp and zone-plate: 10 or 12 bits (default: 10)')
    .action(async (text: string, options: PatternOptions) => {
      const name = patternName(text);
      await requireNewFile(resolve(options.out), {
        force: options.force ?? false,
        endings: PATTERN_EXTENSIONS,
      });
      const picture = makePattern(name, shapeOption(name, options));
      const interrupt = interruptSignal();
      try {
        await writePattern(picture, resolve(options.out), {
          frames: options.frames,
          frameRate: options.rate,
          tools: readEnvironment().tools,
          signal: interrupt.signal,
        });
      } finally {
        interrupt.dispose();
      }
      if (options.json) {
        const { width, height, depth, title, source } = picture;
        const { frames, rate } = options;
        printJson({
          file: resolve(options.out),
          pattern: name,
          title,
          source,
          width,
          height,
          depth,
          frames,
          rate,
        });
        return;
      }
      say(
        `${picture.title}: ${picture.width}x${picture.height}, ${picture.depth} bits, after ${picture.source}`,
      );
      say(`pattern: ${visible(options.out)}, ${count(options.frames, 'frame')}`);
    });
}

function patternName(text: string): PatternName {
  const name = PATTERN_NAMES.find((known) => known === text.toLowerCase());
  if (name) return name;
  const nearest = nearestWord(text, PATTERN_NAMES);
  throw new GoodgateError('bad-option', {
    what: `"${text}" is no test picture${nearest === null ? '' : `; the nearest is ${nearest}`}`,
    next: 'goodgate pattern --help lists them',
  });
}

function shapeOption(name: PatternName, { size, depth }: PatternOptions): PatternShape {
  if (hasFixedShape(name) && (size !== undefined || depth !== undefined)) {
    throw new GoodgateError('bad-option', {
      what: `the standard fixes size and depth of ${name}`,
      where: size === undefined ? '--depth' : '--size',
      next: 'leave it out',
    });
  }
  const match = size === undefined ? null : /^(\d{2,4})x(\d{2,4})$/.exec(size);
  if (size !== undefined && match === null) {
    throw new GoodgateError('bad-option', {
      what: `"${size}" is no size`,
      where: '--size',
      next: 'write it as 1920x1080',
    });
  }
  if (depth !== undefined && depth !== '10' && depth !== '12') {
    throw new GoodgateError('bad-option', { what: `${depth} bits`, where: '--depth', next: 'give 10 or 12' });
  }
  return {
    width: match ? Number(match[1]) : USUAL_SHAPE.width,
    height: match ? Number(match[2]) : USUAL_SHAPE.height,
    depth: depth === undefined ? USUAL_SHAPE.depth : Number(depth),
  };
}

function rateOption(text: string): string {
  const rate = parseRational(text);
  if (rate && rate.num > 0 && rate.num / rate.den <= 240) return formatRational(rate);
  throw new GoodgateError('bad-option', {
    what: `"${text}" is no frame rate`,
    where: '--rate',
    next: 'write it as 25 or 30000/1001',
  });
}
