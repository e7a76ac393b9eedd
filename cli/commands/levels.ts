import type { Command } from 'commander';
import { GoodgateError } from '../../jobs/errors.js';
import { NAMES_COMMAND, parseScale } from '../../jobs/manifest/colour-words.js';
import { GAMUTS } from '../../signal/gamut/gamuts.js';
import { crewCard } from '../../signal/levels/crew-card.js';
import { LEVEL_FORMS, parseLevel, type ReadLevel } from '../../signal/levels/parse-level.js';
import { levelOnScale, SCALES, type ScaleName } from '../../signal/levels/scale.js';
import type { Named } from '../../signal/named.js';
import { TRANSFER_FUNCTIONS } from '../../signal/transfer/transfer-functions.js';
import { MATRICES } from '../../signal/ycbcr.js';
import type { CommandHelp } from '../help/command-help.js';
import { cardText, levelText, namesText } from '../levels/levels-text.js';
import { print, printJson } from '../print.js';
import { repeatable } from './options.js';

interface LevelsOptions {
  readonly from?: string;
  readonly to: readonly string[];
  readonly all?: boolean;
  readonly names?: boolean;
  readonly json?: boolean;
}

/** What most deliveries are in; the scale of the value itself comes first. */
const FEW_SCALES: readonly ScaleName[] = ['bt709', 'smpte2084', 'arib-std-b67'];
const ALL_SCALES = SCALES.map(({ name }) => name);

export const help: CommandHelp = {
  examples: [
    ['goodgate levels', 'the card of a crew: grey, skin and white'],
    ['goodgate levels 61% --from S-Log3', 'percent; 598 would be a code of 10 bits'],
    ['goodgate levels 203nits --from PQ --to HLG --to S-Log3', 'light, on the scales asked for'],
    ['goodgate levels --names', 'every name a colour can be written with'],
  ],
  exits: { 0: 'told' },
};

export function register(program: Command): void {
  program
    .command('levels')
    .description('show one level on other scales; without a level, the card of a crew')
    .argument('[value]', `a level: ${LEVEL_FORMS}`)
    .option(
      '--from <scale>',
      'the scale of the value: a transfer function such as S-Log3 or PQ, or reflectance',
    )
    .addOption(repeatable('--to <scale>', 'a scale to show', 'its own, Rec.709, PQ and HLG'))
    .option('--all', 'show every scale')
    .option('--names', 'list every name a colour can be written with')
    .option(
      '--json',
      'print an array of levels (of all scales without --to), null where a figure has no meaning',
    )
    // A negative level is a value, not an option.
    .allowUnknownOption()
    .action((value: string | undefined, options: LevelsOptions) => {
      if (options.names) {
        if (options.json) printJson(allNames());
        else print(namesText());
        return;
      }
      const chosen = options.to.map((text) => scaleOption('--to', text));
      const read = value === undefined ? null : readLevel(value, options.from);
      if (options.json) {
        const scales = chosen.length === 0 ? ALL_SCALES : chosen;
        printJson(read === null ? crewCard() : scales.map((scale) => levelOnScale(scale, read.reflectance)));
      } else if (read === null || value === undefined) print(cardText());
      else print(levelText(value, read, options.all ? ALL_SCALES : scalesFor(read, chosen)));
    });
}

function scalesFor(read: ReadLevel, chosen: readonly ScaleName[]): readonly ScaleName[] {
  if (chosen.length > 0) return chosen;
  return [...new Set([...(read.scale === null ? [] : [read.scale]), ...FEW_SCALES])];
}

function allNames(): object {
  const words = (all: readonly Named[]) => all.map(({ name, aliases }) => ({ name, aliases }));
  return {
    transferFunctions: words(TRANSFER_FUNCTIONS),
    primaries: words(GAMUTS),
    matrices: words(MATRICES),
  };
}

function scaleOption(name: string, text: string): ScaleName {
  return asked(name, `${NAMES_COMMAND} lists the scales; reflectance is one too`, () => parseScale(text));
}

function readLevel(value: string, from: string | undefined): ReadLevel {
  const scale = from === undefined ? null : scaleOption('--from', from);
  return asked(value, `write a level as ${LEVEL_FORMS}`, () => parseLevel(value, scale));
}

function asked<T>(where: string, next: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    throw new GoodgateError('bad-option', { what: error.message, where, next });
  }
}
