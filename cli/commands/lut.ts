import { resolve } from 'node:path';
import type { Command } from 'commander';
import { GoodgateError } from '../../jobs/errors.js';
import type { WrittenColour } from '../../jobs/manifest/colour-words.js';
import { visible, wrap } from '../../jobs/words/plain-text.js';
import { bakeSingleCube } from '../../signal/lut/bake.js';
import { formatCube } from '../../signal/lut/cube-format.js';
import { makeRendering, type Rendering, RenderingError } from '../../signal/rendering/make-rendering.js';
import type { RenderingColour } from '../../signal/rendering/rendering-colour.js';
import { writeWhole } from '../../workers/batch/write-whole.js';
import { readCube } from '../../workers/rendering/bake-files.js';
import { colourOption } from '../colour-option.js';
import type { CommandHelp } from '../help/command-help.js';
import { requireNewFile } from '../new-file.js';
import { printJson, say } from '../print.js';

interface LutOptions {
  readonly from: WrittenColour;
  readonly to: WrittenColour;
  readonly size: number;
  readonly exposure: number;
  readonly look?: string;
  readonly out: string;
  readonly json?: boolean;
  readonly force?: boolean;
}

const colour = (option: string) => (text: string) => colourOption(option, text);
const MAX_SIZE = 129;
const MAX_STOPS = 10;
const WIDTH = 80;
const ONE_CUBE =
  'A single cube is wrong by more than a code in places; more points (--size) bring it closer. goodgate itself renders with curves and a matrix around its cube, which is closer.';

export const help: CommandHelp = {
  examples: [
    ['goodgate lut --from S-Log3/S-Gamut3.Cine --to Rec.709 -o show.cube', 'camera log to a monitor'],
    [
      'goodgate lut --from S-Log3 --to PQ --exposure +0.5 --size 65 -o pq.cube',
      'half a stop brighter, to HDR',
    ],
  ],
  exits: { 0: 'the cube is written' },
};

export function register(program: Command): void {
  program
    .command('lut')
    .description('bake a colour rendering to one .cube, for other systems')
    .requiredOption('--from <colour>', 'input colour, such as S-Log3/S-Gamut3.Cine', colour('--from'))
    .requiredOption('--to <colour>', 'output colour, such as Rec.709 or PQ/Rec.2020', colour('--to'))
    .option('--size <points>', 'grid points along each edge of the cube', pointsOption, 33)
    .option('--exposure <stops>', 'correction in scene-linear light, before the rendering', stopsOption, 0)
    .option(
      '--look <file>',
      'a .cube look: from camera log to the target in place of the rendering, or applied after it',
    )
    .requiredOption('-o, --out <file>', 'the .cube to write')
    .option('--force', 'replace a .cube that is there')
    .option('--json', 'print where it is and how exact it is')
    .action(async (options: LutOptions) => {
      await requireNewFile(options.out, { force: options.force ?? false, endings: ['.cube'] });
      const { cube, error, inside } = bakeSingleCube(await renderingOf(options), options.size);
      await writeWhole(options.out, formatCube(cube));
      for (const line of cube.comments) for (const part of wrap(line, WIDTH)) say(part);
      if (error.p999 > 1) {
        for (const line of wrap(ONE_CUBE, WIDTH)) say(line);
      }
      if (options.json) {
        const { title, comments } = cube;
        printJson({ file: resolve(options.out), title, points: options.size, error, inside, comments });
        return;
      }
      say(`cube: ${visible(options.out)}, ${options.size} points an edge`);
    });
}

async function renderingOf({ from, to, exposure, look }: LutOptions): Promise<Rendering> {
  const request = { from: renderingColour(from), to: renderingColour(to), exposure };
  const cube = look === undefined ? null : await readCube(look);
  try {
    return makeRendering({ ...request, look: cube });
  } catch (error) {
    if (!(error instanceof RenderingError)) throw error;
    throw new GoodgateError('bad-option', {
      what: error.message,
      where: '--to',
      next: 'choose a colour of a display for --to: Rec.709, PQ or HLG, say',
      cause: error,
    });
  }
}

/** The range does not matter: the table is from signal to signal. */
function renderingColour({ transfer, primaries }: WrittenColour): RenderingColour {
  return { transfer, primaries, range: 'narrow' };
}

function pointsOption(text: string): number {
  const points = Number(text);
  if (/^\d{1,3}$/.test(text) && points >= 2 && points <= MAX_SIZE) return points;
  throw outOfBounds('--size', text, `a whole number of 2 to ${MAX_SIZE}`);
}

function stopsOption(text: string): number {
  const stops = Number(text);
  if (/^[+-]?\d+(\.\d+)?$/.test(text) && Math.abs(stops) <= MAX_STOPS) return stops;
  throw outOfBounds('--exposure', text, `stops of -${MAX_STOPS} to +${MAX_STOPS}, such as +0.5`);
}

function outOfBounds(where: string, given: string, allowed: string): GoodgateError {
  return new GoodgateError('bad-option', { what: `"${given}" is given`, where, next: `give ${allowed}` });
}
